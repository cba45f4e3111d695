/* What is folded in a sealed page stands there as one text, which a search finds, and is drawn when it is
   opened, found or printed: a plan of a year is some hundred elements and not ten thousand. Each different
   line stands in the document once, and a folded text is a character for each of its lines:
   sitegen/portal/folding.py. */
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

  /* A folded text written out; the first line is U+0100, and no code is a surrogate. Pure. */
  function writtenOut(codes, lines) {
    return Array.from(codes, (code) => {
      const at = code.codePointAt(0);
      return lines[at - (at < 0xd800 ? 0x100 : 0x900)];
    }).join("\n");
  }

  let lines = [];
  const htmlOf = (late) => writtenOut(late.textContent, lines);

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
    inside.innerHTML = portal.policy.createHTML(late ? htmlOf(late) : held.get(details));
    inside.removeAttribute("hidden");
    held.delete(details);
    if (late) late.remove();
    for (const session of inside.querySelectorAll("[data-session]")) date(session, portal);
    portal.linkUp(inside);
    world.document.dispatchEvent(new CustomEvent("portal:drawn", { detail: { inside } }));
  }

  /* What a session's id tells of it stands in the document once, in the data of the plan. */
  function date(session, portal) {
    const { session: id } = session.dataset;
    const found = [].concat(...portal.data.weeks.map((week) => week.sessions))
      .find((one) => one.id === decodeURIComponent(id));
    session.id = "weeks-s-" + id;
    if (found) session.dataset.on = session.querySelector("time").dateTime = found.on;
  }

  function init(portal) {
    const known = world.document.querySelector("script[data-lines]");
    if (known) lines = known.textContent.split("\n");
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
      for (const late of scripts()) fold(late.nextElementSibling, htmlOf(late));
    });
  }

  parts.folded = { textOf, writtenOut, draw, hold, init };
})(typeof self === "undefined" ? globalThis : self);
