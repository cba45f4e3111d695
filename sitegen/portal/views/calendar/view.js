/* Calendar: the button that copies the feed's address. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const all = (selector, root) => Array.from((root || world.document).querySelectorAll(selector));

  function getReady(root) {
    for (const button of all("[data-copy]", root)) {
      const field = world.document.getElementById(button.dataset.copy);
      field.addEventListener("focus", () => field.select());
      if (!world.navigator.clipboard) continue;
      button.hidden = false;
      button.addEventListener("click", async () => {
        try {
          await world.navigator.clipboard.writeText(field.value);
          root.querySelector("#copied").textContent = button.dataset.done || "✓";
        } catch (error) {
          field.focus();
        }
      });
    }
  }

  parts.views = Object.assign(parts.views || {}, { calendar: { getLater: getReady } });
})(typeof self === "undefined" ? globalThis : self);
