/* The next morning's question about a run that was sent. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const MORNING = "morning";

  /* `form` is what the view shares with its parts, see view.js. */
  function wireMorning(form) {
    const { morningAsked, wireSending } = parts.checkin;
    const { find, say, portal, showWord } = form;
    const { severe, rest } = parts.rules;
    const morning = find("morning");
    let asksFor = null;
    let id = "";

    /* One that was begun is asked for until it is sent. */
    function show() {
      const { sent, morning: begun } = form.record();
      asksFor = begun ? begun.on : morningAsked(sent, portal.morning());
      id = begun ? begun.id : "";
      morning.hidden = asksFor === null;
      if (asksFor !== null) find("morning-day").textContent = form.nameOf(asksFor);
      for (const choice of morning.querySelectorAll("input")) {
        choice.checked = Boolean(begun) && begun[choice.name] === Number(choice.value);
      }
      draw();
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
      id = form.newId();
      portal.stops.write(MORNING, entryOf(scoreIn("next")), false);
      form.record().morning = { on: asksFor, id, next: scoreIn("next"), "next-walking": scoreIn("next-walking") };
      form.save();
      draw();
    }

    function draw() {
      const score = scoreIn("next");
      const walking = scoreIn("next-walking");
      const worst = Math.max(score || 0, walking || 0);
      for (const box of morning.querySelectorAll("[data-c-score]")) {
        const told = scoreIn(box.dataset.cScore);
        showWord(box, told === null ? "" : String(told));
      }
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
      form.record().morning = null;
      form.save();
      show();
      form.showSent(text);
      form.showKept();
    }

    morning.addEventListener("change", update);
    wireSending(morning.querySelector("[data-c-send]"), say, portal.data,
      () => textOf(scoreIn("next")), gone);
    return { show, showText };
  }

  parts.checkin = Object.assign(parts.checkin || {}, { wireMorning });
})(typeof self === "undefined" ? globalThis : self);
