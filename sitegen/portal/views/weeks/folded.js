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

  const held = new Map(); // what came later than the page: HTML by its <details>

  function fold(inside, html) {
    inside.setAttribute("hidden", "until-found");
    inside.textContent = textOf(html);
  }

  /* Keeps HTML for the `.drill-inside` of a <details> until it is asked for. */
  function hold(details, html, portal) {
    held.set(details, html);
    fold(details.querySelector(".drill-inside"), html);
    if (details.open) draw(details, portal);
  }

  /* Draws what is folded in a <details>, once, and says so: "portal:drawn". */
  function draw(details, portal) {
    const late = details && details.querySelector(LATE);
    if (!late && !held.has(details)) return;
    const inside = late ? late.nextElementSibling : details.querySelector(".drill-inside");
    inside.innerHTML = portal.policy.createHTML(late ? late.textContent : held.get(details));
    inside.removeAttribute("hidden");
    held.delete(details);
    if (late) late.remove();
    portal.linkUp(inside);
    world.document.dispatchEvent(new CustomEvent("portal:drawn", { detail: { inside } }));
  }

  function init(portal) {
    const scripts = () => Array.from(world.document.querySelectorAll(LATE));
    const all = () => scripts().map((late) => late.parentNode).concat(...held.keys());
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
      for (const late of scripts()) fold(late.nextElementSibling, late.textContent);
    });
  }

  parts.folded = { textOf, draw, hold, init };
})(typeof self === "undefined" ? globalThis : self);
