/* The Check-in view: what a client did and felt, in under a minute, kept on the device until it is
   sent. Its words stand in view.html, in data-say-*; message.js makes the message, record.js keeps
   what is kept, sending.js lets it go. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { addDays, dayName, fill } = parts.text;
  const { newId, factsOf, gradeOf } = parts.reacting;
  const {
    checkinText, entryOf, inFull, isDone, adviceFor, loadRecord, saveRecord, pruned, toldSessions,
    wireSending, wireKept, wireMorning, createSigner, tellable,
  } = parts.checkin;

  const draw = (count) => world.crypto.getRandomValues(new Uint8Array(count));

  function getReady(root, portal) {
    const view = root.querySelector("[data-checkin]");
    if (!view || view.hasAttribute("data-ready")) return;
    view.setAttribute("data-ready", "");
    for (const box of view.querySelectorAll(".c-numbers:empty")) {
      box.append(...view.querySelector(".c-numbers").cloneNode(true).childNodes);
      for (const number of box.querySelectorAll("input")) number.name = box.parentNode.dataset.cScore;
    }

    const doc = world.document;
    const data = portal.data;
    const code = data.code;
    const unit = data.units;
    const { severe, rest } = parts.rules; // pain from which a clinician, or two days of rest
    const sessions = [].concat(...data.weeks.map((week) => week.sessions));
    const find = (name) => view.querySelector("[data-c-" + name + "]");
    const say = (name, values) => fill(view.getAttribute("data-say-" + name) || "", values || {});
    const form = find("form");
    const pick = find("session");
    const nameOf = (day) => dayName(day, data.language);

    const sign = createSigner(data.signing, () => [showText, morning.showText].forEach((f) => f()));
    const textOf = (entry) => checkinText(code, sign(entry));
    let today = "";
    let keeps = true;
    let record = loadRecord(portal.own);
    let told = new Set(); // sessions told from this device, or taken in by the coach from another

    function save() {
      keeps = saveRecord(portal.own, record);
      told = toldSessions(sessions, data.logged, Object.keys(record.sent));
    }

    // --- sessions to choose from; an unplanned run has the key `extra`, a day without a run `day`,
    // and the draft says which day, as it does where the plan has a session no more

    const EXTRA = "extra";
    const DAY = "day";
    const isStopped = data.status === "paused" || data.status === "referred";

    function isFree(key) {
      return key === EXTRA || key === DAY;
    }

    function sessionOf(key) {
      return sessions.find((one) => one.id === key) || null;
    }

    function onOf(key, draft) {
      const session = sessionOf(key);
      return session ? session.on : draft.on || today;
    }

    /* What its minutes are in the log: "ran", "walked", or "" where it has none. */
    function minutesIn(key) {
      const kind = (sessionOf(key) || {}).kind;
      return key === DAY || kind === "strength" ? "" : kind === "walk" ? "walked" : "ran";
    }

    function sessionName(key) {
      const session = sessionOf(key);
      if (!session) return isFree(key) ? say(key) : nameOf((record.drafts[key] || record.sent[key]).on);
      const kind = view.getAttribute("data-kind-" + session.kind) || session.kind;
      const day = session.on === today ? say("today") : nameOf(session.on);
      return say("session", { day, kind, min: Math.round(session.total_minutes) });
    }

    function isSent(key) {
      return told.has(key);
    }

    function planned(key) {
      const session = sessionOf(key);
      const min = session && (session.run_minutes || session.walk_minutes);
      return min > 0 ? Math.max(1, Math.round(min)) : 0;
    }

    function usualChoice() {
      const draft = record.drafts[record.open];
      if (draft && draft.did !== undefined) return record.open;
      const open = sessions.filter((one) => one.on <= today && one.on >= addDays(today, -1)
        && !isSent(one.id));
      const todays = open.find((one) => one.on === today);
      if (todays || open.length) return (todays || open[open.length - 1]).id;
      return isStopped || portal.stops.stands() ? DAY : EXTRA;
    }

    function fillSessions() {
      const keys = tellable(sessions, today, told, record.drafts).map((one) => one.id).reverse();
      const gone = Object.keys(record.drafts).filter((key) => !isFree(key) && !sessionOf(key));
      pick.replaceChildren();
      for (const key of [...keys, ...gone, EXTRA, DAY]) {
        const option = doc.createElement("option");
        option.value = key;
        option.textContent = sessionName(key) + (isSent(key) ? say("sent-mark") : "");
        pick.append(option);
      }
    }

    // --- the form and its draft

    function readForm() {
      const values = new world.FormData(form);
      const draft = {};
      for (const { name } of form.elements) if (name) draft[name] = String(values.get(name) || "");
      if (isFree(pick.value)) draft.did = pick.value === DAY ? "day" : "done";
      draft.signs = values.getAll("signs").map(String);
      draft.said = [draft.said, ...erased(draft)].filter(Boolean).join("\n\n");
      return draft;
    }

    function writeForm(draft) {
      form.reset();
      for (const field of form.elements) {
        if (!field.name || !(field.name in draft)) continue;
        const value = draft[field.name];
        if (field.type === "radio") field.checked = field.value === value;
        else if (field.type === "checkbox") field.checked = [].concat(value).includes(field.value);
        else if (field !== pick) field.value = value;
      }
    }

    // Signs for a clinician that stood in the check-in when it was opened: no tap takes a tick back, and
    // words that are erased, by their sign, are told at the end of what was written.
    let stays = [];
    let opened = {}; // what was written then
    let worries = null; // its words, {sign: words}, once words.js has come

    const signsIn = ({ said, site }) => parts.worries.of({ said, pain: { site } }, reacts.own).signs;

    function erased(draft) {
      if (!parts.worries || !(opened.said || opened.site)) return [];
      worries = worries || signsIn(opened);
      const now = signsIn(draft);
      return Object.keys(worries).filter((sign) => !now[sign] && !reacts.ill.includes(sign))
        .map((sign) => worries[sign]);
    }

    function settle() {
      stays = [...form.querySelectorAll("[data-c-asks]:not([data-c-asks=ill]):checked")];
      opened = readForm();
      worries = null;
      find("stays").hidden = true;
    }

    function putBack() {
      const { said, site } = form.elements;
      const isBack = stays.some((box) => !box.checked);
      for (const box of stays) box.checked = true;
      if (isBack) form.elements.any.value = "some";
      if (isBack || erased({ said: said.value, site: site.value }).length) find("stays").hidden = false;
    }

    function isEmpty(draft) {
      return Object.keys(draft).every((name) => name === "on" || !draft[name].length
        || (name === "did" && ["day", "done"].includes(draft.did)));
    }

    function keepDraft() {
      const draft = readForm();
      record.open = pick.value;
      if (isEmpty(draft)) delete record.drafts[pick.value];
      // Anew with each change: a build that lists the id has seen just this.
      else record.drafts[pick.value] = Object.assign(draft, { id: newId(draw) });
      save();
      portal.stops.write(pick.value, isEmpty(draft) ? null : readEntry().entry, false);
      showDraftNote(draft);
    }

    function showDraftNote(draft) {
      if (!keeps) find("kept").textContent = say("keeps-nothing");
      else find("kept").textContent = isEmpty(draft) ? "" : say("kept");
    }

    function openSession(key) {
      writeForm(record.drafts[key] || { on: today });
      pick.value = key; // after the form's reset, which moves it
      opened = {};
      settle();
      if (!form.elements.on.value) form.elements.on.value = today;
      form.elements.on.max = today;
      clearWrong();
      sending.reset();
      update();
      showDraftNote(readForm());
    }

    /* The chosen number's word; where the scale has none, its two ends. */
    function showWord(box, value) {
      const word = value ? box.getAttribute("data-word-" + value) : "";
      box.querySelector("[data-c-word]").textContent =
        word ? value + ": " + word : box.getAttribute("data-ends");
    }

    /* What shows depends on what was said so far. */
    function update() {
      const draft = readForm();
      const key = pick.value;
      const run = minutesIn(key);
      const min = planned(key);
      const done = isDone(draft);
      const isDay = key === DAY;
      const on = onOf(key, draft);
      const hurts = done && draft.hurt === "some";
      const asksDay = isDay || (draft.did === "skipped" && draft.skipped === "pain");
      const asks = done && !(draft.did === "told" && min) && run;
      const scores = hurts ? [draft.during, draft.after, draft.before, draft.morning]
        : !done && asksDay ? [draft.today, draft.walking] : [];
      const worst = Math.max(0, ...scores.map(Number));
      const shown = {
        "on-row": !sessionOf(key),
        "did-row": !isFree(key),
        "day-row": asksDay,
        "well-row": isDay,
        again: isSent(key),
        "skipped-row": draft.did === "skipped",
        felt: done,
        hurt: hurts,
        minutes: asks === "ran",
        walked: asks === "walked",
        more: done && run === "ran",
        heard: draft.heard,
        rest: draft.did,
        "signs-row": draft.did,
        // Who skipped it because of an illness has the list before them.
        signs: draft.any === "some" || draft.skipped === "ill",
        "site-row": worst > 0,
        "before-row": done && run && worst > 0,
        "morning-row": done && run && on < portal.morning(),
        "too-much": worst >= rest && worst < severe,
        severe: worst >= severe,
      };
      for (const [name, isShown] of Object.entries(shown)) find(name).hidden = !isShown;
      find("told-word").textContent = say(min ? "told-" + run : "as-told", { min });
      for (const choice of view.querySelectorAll("[data-c-length]")) choice.hidden = !run;
      for (const box of form.querySelectorAll("[data-c-score]")) showWord(box, draft[box.dataset.cScore]);
      const advice = placeAdvice();
      if (find("today").querySelector(":checked")) find("today").open = true;
      find("emergency").hidden = advice !== "now";
      find("harm").hidden = advice !== "self_harm";
      find("clinician").hidden = advice !== "today";
      find("ill").hidden = advice !== "ill";
      showText();
      mendWrong();
    }

    function showText() {
      form.querySelector("[data-c-text]").textContent = textOf(readEntry().entry);
    }

    const reacts = Object.assign({}, parts.rules, data.reacts);

    /* What the words alone ask for, and the first of them; nothing before words.js has come. */
    function worded() {
      const { said, site } = readForm();
      const entry = { on: today, said, pain: site ? { site } : {} };
      const grade = gradeOf(reacts, factsOf(entry, reacts.own), []);
      if (!grade) return { grade, words: "" };
      return { grade, words: Object.values(parts.worries.of(entry, reacts.own).signs).join("”, “") };
    }

    /* What to do stands by what calls for it: above the ticks, or below the words. Gives the grade. */
    function placeAdvice() {
      const asked = adviceFor(ticked());
      const { grade, words } = worded();
      const advice = ["now", "self_harm", "today", "ill"].find((one) => one === asked || one === grade);
      const byWords = advice !== undefined && advice !== asked;
      const place = find(byWords ? "said-row" : "advice-home");
      const box = find("advice");
      if (box.previousElementSibling !== place) place.after(box);
      find("found").hidden = !(byWords && words);
      find("found").textContent = byWords ? say("found", { words }) : "";
      return advice || "";
    }

    /* What each ticked sign asks for. */
    function ticked() {
      return [...form.querySelectorAll("[data-c-asks]:checked")]
        .map((box) => box.getAttribute("data-c-asks"));
    }

    /* A tick that calls for something brings what to do before the client's eyes. */
    function showAdvice() {
      if (!adviceFor(ticked())) return;
      const still = world.matchMedia("(prefers-reduced-motion: reduce)").matches;
      find("advice").scrollIntoView({ block: "nearest", behavior: still ? "auto" : "smooth" });
    }

    let wrongs = []; // names of the fields that the message under the form is about

    function clearWrong() {
      for (const field of form.elements) field.removeAttribute("aria-invalid");
      find("wrong").textContent = "";
      wrongs = [];
    }

    /* What was told and is mended now goes; nothing new is told while somebody types. */
    function mendWrong() {
      if (!wrongs.length) return;
      const { wrong } = readEntry();
      const left = wrongs.filter((name) => wrong.includes(name));
      if (!left.length) clearWrong();
      else if (left.length < wrongs.length) sayWrong(left);
    }

    function sayWrong(names) {
      wrongs = names;
      find("wrong").textContent = names.map((name) => say("wrong-" + name)).join(" ");
    }

    function showWrong(names) {
      clearWrong();
      sayWrong(names);
      const fields = names.map((name) => form.querySelector(`[name=${name}]`));
      for (const field of fields) field.setAttribute("aria-invalid", "true");
      if (names.includes("distance") || names.includes("cadence")) find("more").open = true;
      fields[0].focus();
    }

    const untold = {}; // ids of forms in which nothing stands yet
    /* One that was begun before check-ins had ids is given its own. */
    function idOf(key) {
      const draft = record.drafts[key] || (untold[key] = untold[key] || {});
      return (draft.id = draft.id || newId(draw));
    }

    function readEntry() {
      const typed = readForm();
      const on = onOf(pick.value, typed);
      const draft = inFull(typed, planned(pick.value), on < portal.morning());
      const read = entryOf(draft, on, unit, minutesIn(pick.value));
      if (read.entry.on > today) read.wrong.unshift("on");
      read.entry.id = idOf(pick.value);
      return read;
    }

    function message() {
      const { entry, wrong } = readEntry();
      if (wrong.length) {
        showWrong(wrong);
        return null;
      }
      clearWrong();
      return textOf(entry);
    }

    function gone() {
      const key = pick.value;
      const { entry } = readEntry();
      const asked = { id: entry.id };
      if (entry.pain && entry.pain.next_morning !== undefined) asked.morning = entry.pain.next_morning;
      const pain = entry.pain || {};
      if (Math.max(pain.during || 0, pain.after || 0) >= rest) asked.much = true;
      const sent = { on: entry.on, ran: Boolean(entry.ran || entry.walked), text: textOf(entry) };
      record.sent[isFree(key) ? key + ":" + entry.id : key] = Object.assign(sent, asked);
      delete record.drafts[key];
      record.open = "";
      save();
      portal.stops.write(key, entry, true);
      fillSessions();
      openSession(isFree(key) ? key : usualChoice());
      showSent(sent.text, sent.ran && sent.on >= portal.morning());
      kept.show();
    }

    /* `asks`: tomorrow there is a question about it. */
    function showSent(text, asks) {
      doc.dispatchEvent(new CustomEvent("portal:told"));
      find("sent").hidden = false;
      find("tomorrow").hidden = !asks;
      find("sent-text").textContent = text;
      find("sent").focus();
    }

    const shared = {
      view, portal, say, nameOf, find, showWord, showSent, save, textOf, sessionName,
      showKept: () => kept.show(),
      record: () => record, newId: () => newId(draw),
      isOpen: (key) => key === pick.value,
      open(key) {
        openSession(key);
        record.open = key;
        save();
        pick.focus();
      },
    };
    const kept = wireKept(shared);
    const morning = wireMorning(shared);

    // --- wiring

    const sending = wireSending(form.querySelector("[data-c-send]"), say, data, message, gone);

    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("input", (event) => {
      if (event.target === pick) return;
      find("sent").hidden = true;
      sending.reset();
      event.target.removeAttribute("aria-invalid");
      if (event.target.value === "none" && event.target.name === "any") {
        for (const box of form.querySelectorAll("[name=signs]")) box.checked = false;
      }
      putBack();
      keepDraft();
      update();
      if (event.target.name === "signs") showAdvice();
    });
    pick.addEventListener("change", () => {
      find("sent").hidden = true;
      openSession(pick.value);
      record.open = pick.value;
      save();
      kept.show();
    });
    find("unheard").addEventListener("click", () => {
      form.elements.heard.value = "";
      keepDraft();
      update();
    });
    find("clear").addEventListener("click", ({ target }) => {
      // Words can't be tapped together again.
      if (form.elements.said.value && !world.confirm(target.textContent)) return;
      const key = pick.value;
      const { did, on } = readForm();
      form.reset();
      if (stays.length) writeForm({ did, on, any: "some", signs: stays.map((box) => box.value) });
      pick.value = key;
      keepDraft();
      openSession(key);
      pick.focus();
    });
    // A session that ran here: done as told, or the minutes that were run; one of a day ahead is a run that
    // wasn't planned. What was said before stays, and what is being told of another stays open.
    doc.addEventListener("portal:ran", ({ detail }) => {
      const { id, ran } = detail;
      const isAhead = onOf(id, {}) > today;
      const key = isAhead ? EXTRA : id;
      if (!sessionOf(id) || told.has(id) || (record.drafts[key] || {}).did) return;
      const open = record.drafts[pick.value] ? pick.value : key;
      record.drafts[key] = Object.assign({ on: today, signs: [] }, record.drafts[key], {
        id: newId(draw),
        did: ran === null ? "told" : "shorter",
        ran: String(ran || (isAhead ? planned(id) : "")),
      });
      record.open = open;
      save();
      fillSessions();
      openSession(open);
      kept.show();
    });
    doc.addEventListener("portal:cadence", (event) => {
      form.elements.cadence.value = String(event.detail.spm);
      find("more").open = true;
      keepDraft();
      update();
    });

    /* Also when the page was left open over night. */
    function newDay() {
      if (portal.today() === today) return;
      today = portal.today();
      // Read anew: another tab may have sent something, or all may have been forgotten.
      const waiting = portal.stops.waiting().map((one) => one.id);
      record = pruned(keeps ? loadRecord(portal.own) : record, today, data.reacts.taken, waiting);
      told = toldSessions(sessions, data.logged, Object.keys(record.sent));
      if (Object.keys(record.drafts).length || Object.keys(record.sent).length) save();
      fillSessions();
      openSession(usualChoice());
      morning.show();
      kept.show();
    }

    doc.addEventListener("portal:day", () => { newDay(); morning.show(); });
    doc.addEventListener("portal:shown", ({ detail: { view: shown, id } }) => {
      newDay();
      if (shown !== "checkin") settle();
      else if (sessionOf(id)) shared.open(id); // Now asks for it
    });
    find("unit").textContent = unit;
    if (data.emergency) {
      const dial = data.emergency.replace(/[ ()./-]/g, "");
      for (const number of view.querySelectorAll("[data-c-number]")) {
        number.textContent = data.emergency;
        if (/^\+?[0-9*#]{2,15}$/.test(dial)) number.href = "tel:" + dial;
      }
    }
    newDay();
  }

  /* Once words.js is there, what was written before is looked at again. */
  function getLater(root) {
    const form = root.querySelector("[data-c-form]");
    if (form.elements.said.value || form.elements.site.value) form.dispatchEvent(new Event("input"));
  }

  parts.views = Object.assign(parts.views || {}, { checkin: { getReady, getLater } });
})(typeof self === "undefined" ? globalThis : self);
