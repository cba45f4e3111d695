/* Drills: today's stand first, and on one sheet of paper. Comes after the first picture. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const all = (selector, root) => Array.from((root || world.document).querySelectorAll(selector));

  function getLater(root, portal) {
    const group = root.querySelector("[data-drills-today]");
    if (!group) return;
    const homes = all(".drill", root).map((drill) => [drill, drill.parentNode]);

    /* The ids of drills that go with sessions of today, as Weeks names them. */
    function todays() {
      const links = all('.week [data-on="' + portal.today() + '"] .with a');
      return links.map((link) => link.dataset.place.split("/")[1]);
    }

    /* Each in its own group and in its own order, today's before all. */
    function sort() {
      const wanted = todays();
      for (const [drill, home] of homes) {
        (wanted.includes(drill.dataset.drill) ? group : home).append(drill);
      }
      group.hidden = !group.querySelector(".drill");
      group.querySelector("h3").dataset.day = parts.text.dayName(portal.today(), portal.data.language); // on paper
      for (const home of new Set(homes.map((one) => one[1]))) home.hidden = !home.querySelector(".drill");
    }

    sort();
    world.document.addEventListener("portal:day", sort);
    group.querySelector("button").addEventListener("click", () => world.print());
  }

  parts.drillsToday = { getLater };
})(typeof self === "undefined" ? globalThis : self);
