/* Puts shipped drills into a sealed portal: they come as one file, the same for all clients, and all
   of them, so that asking for it tells nothing of anybody. A script, since that is what a page
   opened from disk may load; from a host only with the very content that the page names. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});
  const END = "</svg>";

  function init(portal) {
    const { drills, drillsHash } = document.documentElement.dataset;
    if (!drills) return;
    const missing = document.querySelector("[data-drills-missing]");
    let asked = false;

    function tell(isMissing) {
      if (missing) missing.hidden = !isMissing;
    }

    function fill() {
      const { words, figures, marks } = world.portalDrills; // words and figures in one order
      const ids = Object.keys(words);
      const whole = (text) => Array.from(text, (sign) => marks[sign] || sign).join("");
      for (const article of document.querySelectorAll(".drill[data-late]")) {
        const id = article.dataset.drill;
        const html = whole(words[id]).replace(END, (end) => whole(figures[ids.indexOf(id)]) + end);
        parts.folded.hold(article, html, portal);
        article.removeAttribute("data-late");
      }
      tell(false);
      // Who asked for one drill is still at it, now that those above it have grown.
      const at = document.activeElement;
      if (at.matches(".drill")) at.scrollIntoView();
    }

    function load() {
      if (asked) return;
      asked = true;
      const script = document.createElement("script");
      if (location.protocol !== "file:") script.integrity = drillsHash; // from disk none passes
      script.addEventListener("load", fill);
      script.addEventListener("error", () => {
        script.remove();
        asked = false;
        tell(true);
      });
      script.src = portal.policy.createScriptURL(drills);
      document.head.append(script);
    }

    document.addEventListener("portal:shown", load); // once more where it did not come
    load();
  }

  parts.lateDrills = { init };
})(typeof self === "undefined" ? globalThis : self);
