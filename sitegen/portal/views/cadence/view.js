/* The cadence chart: one stop for the Tab key, arrows between the points, and a line of text for
   whoever points with a finger. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const all = (selector, root) => Array.from((root || world.document).querySelectorAll(selector));

  /* Where today stands in a chart: data-today has its first day, its days, and its two edges. */
  function markToday(mark, day) {
    const [first, days, left, right] = mark.getAttribute("data-today").split(" ");
    const gone = parts.text.daysFrom(first, day) + 0.5;
    const isIn = gone > 0 && gone < Number(days);
    mark.setAttribute("display", isIn ? "inline" : "none");
    if (!isIn) return;
    const x = Number(left) + (gone / Number(days)) * (Number(right) - Number(left));
    mark.setAttribute("transform", "translate(" + x.toFixed(1) + " 0)");
    // Near the right edge the word stands before the line.
    mark.querySelector("text").classList.toggle("end", gone / Number(days) > 0.8);
    mark.querySelector("text").setAttribute("x", gone / Number(days) > 0.8 ? "-4" : "4");
  }

  function getReady(root, portal) {
    const mark = () => all("[data-today]", root).forEach((one) => markToday(one, portal.today()));
    mark();
    world.document.addEventListener("portal:day", mark);
    const line = root.querySelector("[data-point]");
    for (const chart of all(".chart", root)) {
      const points = all(".point[tabindex]", chart);
      points.forEach((point, at) => {
        point.setAttribute("tabindex", at === points.length - 1 ? "0" : "-1");
        const tell = () => {
          line.hidden = false;
          line.textContent = point.getAttribute("aria-label");
        };
        point.addEventListener("focus", tell);
        point.addEventListener("pointerenter", tell);
        point.addEventListener("click", () => point.focus());
        point.addEventListener("keydown", (event) => {
          const step = { ArrowRight: 1, ArrowLeft: -1, Home: -points.length, End: points.length };
          if (!(event.key in step)) return;
          event.preventDefault();
          const to = Math.max(0, Math.min(points.length - 1, at + step[event.key]));
          points.forEach((p, n) => p.setAttribute("tabindex", n === to ? "0" : "-1"));
          points[to].focus();
        });
      });
    }
  }

  parts.views = Object.assign(parts.views || {}, { cadence: { getLater: getReady } });
})(typeof self === "undefined" ? globalThis : self);
