/* What is folded in a sealed page stands there as one text, which a search finds, and is drawn when it is
   opened, found or printed: a plan of a year is some hundred elements and not ten thousand. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const LATE = "script[data-folded]";
  const SIGNS = { lt: "<", gt: ">", amp: "&", "#34": '"', "#39": "'" };

  /* The text of our own HTML. Pure. */
  function textOf(html) {
    return html.replace(/<[^>]*>/g, " ").replace(/&(lt|gt|amp|#34|#39);/g, (_, name) => SIGNS[name])
      .replace(/\s+/g, " ").trim();
  }

  /* Draws what is folded in a <details>, once, and says so: "portal:drawn". */
  function draw(details, portal) {
    const late = details && details.querySelector(LATE);
    if (!late) return;
    const inside = late.nextElementSibling;
    inside.innerHTML = portal.policy.createHTML(late.textContent);
    inside.removeAttribute("hidden");
    late.remove();
    portal.linkUp(inside);
    world.document.dispatchEvent(new CustomEvent("portal:drawn", { detail: { inside } }));
  }

  function init(portal) {
    const all = () => Array.from(world.document.querySelectorAll(LATE), (late) => late.parentNode);
    const opened = (event) => {
      const details = event.target.closest && event.target.closest("details");
      if (!details || (event.type === "toggle" && !details.open)) return;
      draw(details, portal);
      details.open = true;
    };
    world.document.addEventListener("toggle", opened, true);
    world.document.addEventListener("beforematch", opened, true);
    world.addEventListener("beforeprint", () => all().forEach((details) => draw(details, portal)));
    portal.soon(() => {
      for (const late of world.document.querySelectorAll(LATE)) {
        late.nextElementSibling.textContent = textOf(late.textContent);
      }
    });
  }

  parts.folded = { textOf, draw, init };
})(typeof self === "undefined" ? globalThis : self);
