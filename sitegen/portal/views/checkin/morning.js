/* The next morning's question about a run that was sent. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const MORNING = "morning";

  /* `form` is what the view shares with its parts, see view.js. */
  function wireMorning(form) {
    const { morningAsked, wireSending } = parts.checkin;
    const { find, say, portal, showWord, scoreBox } = form;
    const { severe, rest } = parts.rules;
    const morning = find("morning");
    let asksFor = null;
    let id = "";

    function show() {
      asksFor = morningAsked(form.record().sent, form.today());
      morning.hidden = asksFor === null;
      if (asksFor !== null) find("morning-day").textContent = form.nameOf(asksFor);
    }

    function scoreIn(name) {
      const chosen = morning.querySelector('input[name="' + name + '"]:checked');
      return chosen ? Number(chosen.value) : null;
    }

    /* Walking is asked only where it hurts this morning, or hurt much in the run. */
    function asksWalking(score) {
      const sent = Object.values(form.record().sent);
      return score !== null && (score > 0 || sent.some((one) => one.on === asksFor && one.much));
    }

    function entryOf(score) {
      const pain = { next_morning: score };
      const walking = scoreIn("next-walking");
      if (walking !== null && asksWalking(score)) pain.walking = walking;
      return { on: asksFor, pain, id };
    }

    const textOf = (score) => form.textOf(entryOf(score));

    function showText() {
      const score = scoreIn("next");
      morning.querySelector("[data-c-text]").textContent = score === null ? "" : textOf(score);
    }

    function update() {
      const score = scoreIn("next");
      id = form.newId();
      portal.stops.write(MORNING, score === null ? null : entryOf(score), false);
      const walking = scoreIn("next-walking");
      const worst = Math.max(score || 0, walking || 0);
      showWord(scoreBox("next"), score === null ? "" : String(score));
      showWord(scoreBox("next-walking"), walking === null ? "" : String(walking));
      find("next-walking-row").hidden = !asksWalking(score);
      find("morning-much").hidden = !(worst >= rest && worst < severe);
      find("morning-severe").hidden = worst < severe;
      morning.querySelector("[data-c-send]").hidden = score === null;
      showText();
    }

    function gone() {
      const score = scoreIn("next");
      const text = textOf(score);
      const { sent } = form.record();
      portal.stops.write(MORNING, entryOf(score), true);
      for (const one of Object.values(sent)) {
        if (one.on === asksFor) one.morning = score;
      }
      sent[MORNING + ":" + id] = { on: asksFor, ran: false, id, text };
      form.save();
      for (const choice of morning.querySelectorAll("input")) choice.checked = false;
      update();
      show();
      form.showSent(text);
      form.showKept();
    }

    morning.addEventListener("change", update);
    wireSending(morning.querySelector("[data-c-send]"), say, portal.data,
      () => textOf(scoreIn("next")), gone);
    update();
    return { show, showText };
  }

  parts.checkin = Object.assign(parts.checkin || {}, { wireMorning });
})(typeof self === "undefined" ? globalThis : self);
