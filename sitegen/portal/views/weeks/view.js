/* Weeks on paper: one week that was asked for, the practice's logo on each, and the private link as
   a QR code for who asks. Comes after the first picture. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const all = (selector, root) => Array.from((root || world.document).querySelectorAll(selector));

  function initPrint(root) {
    world.addEventListener("afterprint", () => {
      for (const week of all("[data-alone]", root)) week.removeAttribute("data-alone");
    });
    root.addEventListener("click", (event) => {
      const button = event.target.closest("[data-print]");
      if (!button) return;
      button.closest(".week").setAttribute("data-alone", "");
      world.print();
    });
  }

  function showPrint(root) {
    for (const button of all("[data-print]", root)) button.hidden = false;
  }

  // The practice's logo stands in the document once; on paper each week carries it.

  function addLogo(root) {
    const logo = world.document.querySelector(".top .logo");
    for (const whose of logo ? all(".whose-paper:not(:has(.logo))", root) : []) {
      const copy = logo.cloneNode();
      copy.alt = "";
      whose.prepend(copy);
    }
  }

  // The private link as a QR code, on paper only and only for who asks. "SIZE:BITS", row by row.

  function initQr() {
    const tick = world.document.getElementById("qr");
    if (!tick) return;
    tick.closest("p").hidden = false;
    tick.checked = false;
    tick.addEventListener("change", () => {
      for (const old of all(".qr")) old.remove();
      if (!tick.checked) return;
      const [side, packed] = tick.dataset.squares.split(":");
      const size = Number(side);
      const bytes = atob(packed);
      let dark = "";
      for (let at = 0; at < size * size; at += 1)
        if ((bytes.charCodeAt(at >> 3) >> (7 - (at & 7))) & 1)
          dark += "M" + (at % size) + " " + Math.floor(at / size) + "h1v1h-1z";
      const space = "http://www.w3.org/2000/svg";
      for (const week of all(".week .inside")) {
        const svg = world.document.createElementNS(space, "svg");
        svg.setAttribute("class", "qr");
        svg.setAttribute("viewBox", "-4 -4 " + (size + 8) + " " + (size + 8)); // 4 quiet squares
        svg.setAttribute("aria-hidden", "true");
        const path = world.document.createElementNS(space, "path");
        path.setAttribute("d", dark);
        svg.append(path);
        week.prepend(svg);
      }
    });
  }

  function getLater(root, portal) {
    initPrint(root);
    initQr();
    const dress = (inside) => [showPrint, addLogo].forEach((work) => work(inside));
    dress(root);
    world.document.addEventListener("portal:drawn", ({ detail }) => {
      dress(detail.inside);
      const tick = world.document.getElementById("qr");
      if (tick && tick.checked) tick.dispatchEvent(new Event("change"));
    });
    parts.months.draw(root, portal);
  }

  parts.views = Object.assign(parts.views || {}, { weeks: { getLater } });
})(typeof self === "undefined" ? globalThis : self);
