/* The Check-in view: what a client did and felt, in under a minute, kept on the device until it
   is sent by the phone's share sheet, mail, message or copy.

   A classic script without dependencies, since a page opened from disk may not load modules.
   Puts two names on the page:

     initCheckin(root)  wires the view that lies in `root` (templates/view-checkin.html); needs
                        window.portal with `id`, `data` and `today()`, see templates/app.js
     checkin            the pure parts below, for tests and for whoever wants to read them alone

   The message is a line `Check-in CODE` and then the entry as it will stand in the client's log.
   Free text is always in double quotes with JSON's escapes, which YAML reads the same, so that
   no word of a client's can be taken for anything but a word.

   The device keeps one record in localStorage, "portal.ID.checkin": drafts by session, and of what
   was sent the little that the next morning's question needs. */
"use strict";

(function (world) {
  const LEAST_SPM = 100;
  const MOST_SPM = 240;
  const MOST_MINUTES = 24 * 60;
  const MOST_METRES = 200000;
  const METRES = { km: 1000, mi: 1609.344 };
  const SIGNS = [
    "swelling", "limp", "night_pain", "locking", "giving_way", "bone_point_pain",
    "chest_pain", "fainting", "breathless_at_rest", "calf_swelling",
  ];
  const URGENT_SIGNS = ["chest_pain", "fainting", "breathless_at_rest", "calf_swelling"];
  const DAYS_BACK = 6; // sessions this old can still be told about
  const KEEP_TEXT_DAYS = 2; // how long a sent message stays on the device

  // --- the message ----------------------------------------------------------------------------

  /* Text as it can travel: no control characters, no half of a character pair, no idle ends. */
  function cleanText(text) {
    return text
      .replace(/\r\n?|[\u0085\u2028\u2029]/g, "\n")
      .replace(/\t/g, " ")
      // eslint-disable-next-line no-control-regex
      .replace(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f\ufeff\ufffe\uffff]/g, "")
      .replace(/[\ud800-\udbff][\udc00-\udfff]|[\ud800-\udfff]/g,
        (found) => (found.length === 2 ? found : "\ufffd"))
      .trim();
  }

  function oneLine(text) {
    return cleanText(text).replace(/\s*\n\s*/g, " ");
  }

  function quoted(text) {
    return JSON.stringify(text);
  }

  function painText(pain) {
    const parts = ["during", "after", "next_morning"]
      .filter((name) => pain[name] !== undefined)
      .map((name) => name + ": " + pain[name]);
    const site = pain.site ? oneLine(pain.site) : "";
    if (site) parts.push("site: " + quoted(site));
    return parts.length ? "{" + parts.join(", ") + "}" : "";
  }

  /* One log entry as lines of YAML. */
  function entryText(entry) {
    const said = entry.said ? cleanText(entry.said) : "";
    const values = [
      ["on", entry.on],
      ["ran", entry.ran ? entry.ran + " min" : ""],
      ["distance", entry.distance ? entry.distance.amount + " " + entry.distance.unit : ""],
      ["cadence", entry.cadence ? entry.cadence + " spm" : ""],
      ["effort", entry.effort === undefined ? "" : String(entry.effort)],
      ["pain", entry.pain ? painText(entry.pain) : ""],
      ["landing", entry.landing || ""],
      ["signs", entry.signs && entry.signs.length ? "[" + entry.signs.join(", ") + "]" : ""],
      ["skipped", entry.skipped || ""],
      ["said", said ? quoted(said) : ""],
    ];
    return values
      .filter(([, value]) => value)
      .map(([name, value], at) => (at ? "  " : "- ") + name + ": " + value)
      .join("\n");
  }

  /* The whole message, ending with a line break. */
  function checkinText(code, entry) {
    return "Check-in " + code + "\n" + entryText(entry) + "\n";
  }

  // --- from what was typed to an entry --------------------------------------------------------

  function wholeNumber(text, low, high) {
    const bare = text.trim();
    if (!/^[0-9]{1,4}$/.test(bare)) return null;
    const number = Number(bare);
    return number >= low && number <= high ? number : null;
  }

  function distanceOf(text, unit) {
    const bare = text.trim().replace(",", ".");
    if (!/^[0-9]{1,3}(\.[0-9]{1,3})?$/.test(bare)) return null;
    const metres = Number(bare) * METRES[unit];
    if (!(metres > 0 && metres <= MOST_METRES)) return null;
    return { amount: bare.replace(/^0+(?=\d)/, ""), unit };
  }

  function scoreOf(text) {
    return text ? Number(text) : undefined;
  }

  function painOf(draft) {
    const pain = {
      during: scoreOf(draft.during),
      after: scoreOf(draft.after),
      next_morning: scoreOf(draft.morning),
    };
    for (const name of Object.keys(pain)) if (pain[name] === undefined) delete pain[name];
    const hurts = Object.values(pain).some((score) => score > 0);
    if (hurts && draft.site && draft.site.trim()) pain.site = draft.site;
    return Object.keys(pain).length ? pain : null;
  }

  /* A draft, text by text as typed, into {entry, wrong}: the entry for the log, and the names of
     the fields that have to be mended first. `hasRun`: the session is one with running in it. */
  function entryOf(draft, on, unit, hasRun) {
    const wrong = [];
    const entry = { on };
    const read = (name, reader) => {
      if (!draft[name] || !draft[name].trim()) return;
      const value = reader(draft[name]);
      if (value === null) wrong.push(name);
      else entry[name] = value;
    };
    if (draft.did === "skipped") {
      if (draft.skipped) entry.skipped = draft.skipped;
      else wrong.push("skipped");
    } else if (draft.did === "done") {
      if (hasRun) {
        read("ran", (text) => wholeNumber(text, 1, MOST_MINUTES));
        if (!entry.ran && !wrong.includes("ran")) wrong.push("ran");
        read("distance", (text) => distanceOf(text, unit));
        read("cadence", (text) => wholeNumber(text, LEAST_SPM, MOST_SPM));
        if (draft.landing) entry.landing = draft.landing;
      }
      if (draft.effort) entry.effort = Number(draft.effort);
      const pain = painOf(draft);
      if (pain) entry.pain = pain;
    } else {
      wrong.push("did");
    }
    const signs = SIGNS.filter((sign) => (draft.signs || []).includes(sign));
    if (signs.length) entry.signs = signs;
    if (draft.said && cleanText(draft.said)) entry.said = draft.said;
    return { entry, wrong };
  }

  /* Nothing, "clinician" or "emergency": what a client has to be told before anything is sent. */
  function adviceFor(signs) {
    if (signs.some((sign) => URGENT_SIGNS.includes(sign))) return "emergency";
    return signs.length ? "clinician" : "";
  }

  // --- days -----------------------------------------------------------------------------------

  /* Days are counted in UTC, so that no clock change can move them. */
  function addDays(day, days) {
    return new Date(Date.parse(day + "T00:00Z") + days * 86400000).toISOString().slice(0, 10);
  }

  /* "Wed 10 Feb", in the order in which the rest of the portal writes a day. */
  function dayName(day, language) {
    const date = new Date(day + "T00:00Z");
    const part = (how) =>
      new Intl.DateTimeFormat(language, Object.assign({ timeZone: "UTC" }, how)).format(date);
    return part({ weekday: "short" }) + " " + date.getUTCDate() + " " + part({ month: "short" });
  }

  /* The run of yesterday that was sent and still lacks its next morning, or null. */
  function morningAsked(sent, today) {
    const yesterday = addDays(today, -1);
    const those = Object.values(sent).filter((one) => one.on === yesterday && one.ran);
    return those.length && those.every((one) => one.morning === undefined) ? yesterday : null;
  }

  // --- what the device keeps ------------------------------------------------------------------

  function emptyRecord() {
    return { drafts: {}, sent: {}, open: "" };
  }

  function loadRecord(store, key) {
    try {
      const read = JSON.parse(store.getItem(key));
      return Object.assign(emptyRecord(), read && typeof read === "object" ? read : {});
    } catch (error) {
      return emptyRecord();
    }
  }

  /* False where the browser keeps nothing. */
  function saveRecord(store, key, record) {
    try {
      store.setItem(key, JSON.stringify(record));
      return true;
    } catch (error) {
      return false;
    }
  }

  /* What is no longer needed goes. */
  function pruned(record, today) {
    const sent = {};
    for (const key of Object.keys(record.sent)) {
      const one = Object.assign({}, record.sent[key]);
      if (one.on < addDays(today, -DAYS_BACK)) continue;
      if (one.on < addDays(today, -KEEP_TEXT_DAYS)) delete one.text;
      sent[key] = one;
    }
    return Object.assign({}, record, { sent });
  }

  // --- the view -------------------------------------------------------------------------------

  function fill(text, values) {
    return text.replace(/\{(\w+)\}/g, (whole, name) => (name in values ? values[name] : whole));
  }

  function deviceStore() {
    try {
      return world.localStorage;
    } catch (error) {
      return null;
    }
  }

  async function copyText(text) {
    try {
      await world.navigator.clipboard.writeText(text);
      return true;
    } catch (error) {
      const area = world.document.createElement("textarea");
      area.className = "c-unseen";
      area.value = text;
      world.document.body.append(area);
      area.select();
      let copied = false;
      try {
        copied = world.document.execCommand("copy");
      } catch (refused) {
        copied = false;
      }
      area.remove();
      return copied;
    }
  }

  function isMail(contact) {
    return /@/.test(contact);
  }

  /* mailto: after RFC 6068, sms: after RFC 5724; line breaks in mail are CR LF. Empty where the
     contact is neither an address nor a number. */
  function messageLink(contact, code, text) {
    if (isMail(contact)) {
      const subject = encodeURIComponent("Check-in " + code);
      const body = encodeURIComponent(text.replace(/\n/g, "\r\n"));
      return "mailto:" + encodeURIComponent(contact).replace(/%40/g, "@")
        + "?subject=" + subject + "&body=" + body;
    }
    const number = contact.replace(/[^0-9+]/g, "");
    return number ? "sms:" + number + "?body=" + encodeURIComponent(text) : "";
  }

  /* The three ways out. `message()` gives the text, or null after it has shown what is missing;
     `gone()` is called once the client has let it go. */
  function wireSending(box, say, data, message, gone) {
    const find = (name) => box.querySelector("[data-c-" + name + "]");
    const contact = data.coach.contact;
    const link = find("message");
    const sure = find("sure");
    const note = find("send-note");

    function ask(words) {
      note.textContent = words;
      sure.hidden = false;
      find("sure-yes").focus();
    }

    function reset() {
      sure.hidden = true;
      note.textContent = "";
    }

    link.hidden = !messageLink(contact, data.code, "");
    link.href = messageLink(contact, data.code, "");
    link.textContent = say(isMail(contact) ? "mail" : "sms");
    if (typeof world.navigator.share === "function") {
      find("share").hidden = false;
      find("share").addEventListener("click", async () => {
        const text = message();
        if (text === null) return;
        try {
          await world.navigator.share({ text });
          reset();
          gone();
        } catch (error) {
          // AbortError: the client closed the sheet; nothing is wrong.
          note.textContent = say(error && error.name === "AbortError" ? "not-shared" : "no-share");
        }
      });
    }
    link.addEventListener("click", (event) => {
      const text = message();
      if (text === null) {
        event.preventDefault();
        return;
      }
      link.href = messageLink(contact, data.code, text);
      ask(say("sure-message"));
    });
    find("copy").addEventListener("click", async () => {
      const text = message();
      if (text === null) return;
      if (await copyText(text)) ask(say("sure-copied", { contact }));
      else note.textContent = say("no-copy");
    });
    find("sure-yes").addEventListener("click", () => {
      reset();
      gone();
    });
    find("sure-no").addEventListener("click", () => {
      sure.hidden = true;
      note.textContent = say("still-kept");
      find("copy").focus();
    });
    return { reset };
  }

  function initCheckin(root) {
    const view = root.querySelector("[data-checkin]");
    if (!view || view.hasAttribute("data-ready")) return;
    view.setAttribute("data-ready", "");

    const doc = world.document;
    const portal = world.portal;
    const data = portal.data;
    const code = data.code;
    const unit = data.units;
    const sessions = [].concat(...data.weeks.map((week) => week.sessions));
    const store = deviceStore();
    const storeKey = "portal." + portal.id + ".checkin";
    const find = (name) => view.querySelector("[data-c-" + name + "]");
    const say = (name, values) => fill(view.getAttribute("data-say-" + name) || "", values || {});
    const form = find("form");
    const pick = find("session");
    const nameOf = (day) => dayName(day, data.language);

    let today = "";
    let keeps = true;
    let record = store ? loadRecord(store, storeKey) : emptyRecord();

    function save() {
      keeps = Boolean(store) && saveRecord(store, storeKey, record);
    }

    // --- sessions to choose from; an unplanned run has the key `extra`, its day in the draft

    const EXTRA = "extra";

    function sessionOf(key) {
      return sessions.find((one) => one.id === key) || null;
    }

    function onOf(key, draft) {
      const session = sessionOf(key);
      return session ? session.on : draft.on || today;
    }

    function hasRun(key) {
      const session = sessionOf(key);
      return !session || session.run_minutes > 0 || session.kind !== "strength";
    }

    function sessionName(key) {
      const session = sessionOf(key);
      if (!session) return say("extra");
      const kind = view.getAttribute("data-kind-" + session.kind) || session.kind;
      const day = session.on === today ? say("today") : nameOf(session.on);
      return say("session", { day, kind, min: Math.round(session.total_minutes) });
    }

    /* Sent from this device, or taken in by the coach from another. */
    function isSent(key) {
      return key !== EXTRA && (key in record.sent || data.logged.includes(sessionOf(key).on));
    }

    function usualChoice() {
      const draft = record.drafts[record.open];
      if (draft && draft.did !== undefined && (record.open === EXTRA || sessionOf(record.open))) {
        return record.open;
      }
      const open = sessions.filter((one) => one.on <= today && one.on >= addDays(today, -1)
        && !isSent(one.id));
      const todays = open.find((one) => one.on === today);
      return todays ? todays.id : open.length ? open[open.length - 1].id : EXTRA;
    }

    function fillSessions() {
      const early = addDays(today, -DAYS_BACK);
      const keys = sessions
        .filter((one) => (one.on <= today && one.on >= early) || one.id in record.drafts)
        .map((one) => one.id).reverse();
      pick.replaceChildren();
      for (const key of [...keys, EXTRA]) {
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
      const names = ["did", "ran", "distance", "cadence", "effort", "during", "after",
        "morning", "site", "landing", "skipped", "said", "on"];
      for (const name of names) draft[name] = String(values.get(name) || "");
      draft.signs = values.getAll("signs").map(String);
      return draft;
    }

    function writeForm(draft) {
      form.reset();
      for (const field of form.elements) {
        if (!field.name || !(field.name in draft)) continue;
        const value = draft[field.name];
        if (field.type === "radio") field.checked = field.value === value;
        else if (field.type === "checkbox") field.checked = value.includes(field.value);
        else if (field !== pick) field.value = value;
      }
    }

    function isEmpty(draft) {
      return Object.keys(draft).every((name) => name === "on" || !draft[name].length);
    }

    function keepDraft() {
      const draft = readForm();
      record.open = pick.value;
      if (isEmpty(draft)) delete record.drafts[pick.value];
      else record.drafts[pick.value] = draft;
      save();
      showDraftNote(draft);
    }

    function showDraftNote(draft) {
      if (!keeps) find("kept").textContent = say("keeps-nothing");
      else find("kept").textContent = isEmpty(draft) ? "" : say("kept");
    }

    function openSession(key) {
      writeForm(record.drafts[key] || { on: today });
      pick.value = key; // after the form's reset, which moves it
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

    function scoreBox(name) {
      return view.querySelector('[data-c-score="' + name + '"]');
    }

    /* What shows depends on what was said so far. */
    function update() {
      const draft = readForm();
      const key = pick.value;
      const session = sessionOf(key);
      const run = hasRun(key);
      const done = draft.did === "done";
      const on = onOf(key, draft);
      find("on-row").hidden = key !== EXTRA;
      find("again").hidden = !isSent(key);
      find("done-word").textContent = say(run ? "did-run" : "did-do");
      find("skipped-row").hidden = draft.did !== "skipped";
      find("felt").hidden = !done;
      find("run-only").hidden = !(done && run);
      find("more").hidden = !(done && run);
      find("landing-row").hidden = !(done && run);
      find("rest").hidden = !draft.did;
      find("signs-row").hidden = !draft.did;
      find("planned").hidden = !(session && session.run_minutes > 0);
      if (session) {
        find("planned").textContent = say("planned", { min: Math.round(session.run_minutes) });
      }
      const scores = [draft.during, draft.after, draft.morning].map(Number);
      find("site-row").hidden = !scores.some((score) => score > 0);
      find("morning-row").hidden = !(done && run && on < today);
      find("too-much").hidden = !scores.some((score) => score > 5);
      for (const name of ["effort", "during", "after", "morning"]) {
        showWord(scoreBox(name), draft[name]);
      }
      const advice = adviceFor(draft.signs);
      find("emergency").hidden = advice !== "emergency";
      find("clinician").hidden = advice !== "clinician";
      const { entry } = entryOf(draft, on, unit, run);
      form.querySelector("[data-c-text]").textContent = checkinText(code, entry);
      mendWrong();
    }

    /* A tick that calls for something brings what to do before the client's eyes. */
    function showAdvice() {
      if (!adviceFor(readForm().signs)) return;
      const still = world.matchMedia("(prefers-reduced-motion: reduce)").matches;
      find("advice").scrollIntoView({ block: "nearest", behavior: still ? "auto" : "smooth" });
    }

    let told = []; // names of the fields that the message under the form is about

    function clearWrong() {
      for (const field of form.elements) field.removeAttribute("aria-invalid");
      find("wrong").textContent = "";
      told = [];
    }

    /* What was told and is mended now goes; nothing new is told while somebody types. */
    function mendWrong() {
      if (!told.length) return;
      const { wrong } = readEntry();
      const left = told.filter((name) => wrong.includes(name));
      if (!left.length) clearWrong();
      else if (left.length < told.length) sayWrong(left);
    }

    function sayWrong(names) {
      told = names;
      find("wrong").textContent = names.map((name) => say("wrong-" + name)).join(" ");
    }

    function showWrong(names) {
      clearWrong();
      sayWrong(names);
      const fields = names.map((name) => form.elements[name]).map((field) =>
        (field instanceof world.RadioNodeList ? field[0] : field));
      for (const field of fields) field.setAttribute("aria-invalid", "true");
      if (names.includes("distance") || names.includes("cadence")) find("more").open = true;
      fields[0].focus();
    }

    function readEntry() {
      const draft = readForm();
      const read = entryOf(draft, onOf(pick.value, draft), unit, hasRun(pick.value));
      if (read.entry.on > today) read.wrong.unshift("on");
      return read;
    }

    function message() {
      const { entry, wrong } = readEntry();
      if (wrong.length) {
        showWrong(wrong);
        return null;
      }
      clearWrong();
      return checkinText(code, entry);
    }

    function gone() {
      const key = pick.value;
      const draft = readForm();
      const { entry } = entryOf(draft, onOf(key, draft), unit, hasRun(key));
      const asked = entry.pain && entry.pain.next_morning !== undefined
        ? { morning: entry.pain.next_morning } : {};
      const told = { on: entry.on, ran: Boolean(entry.ran), text: checkinText(code, entry) };
      record.sent[key === EXTRA ? EXTRA + ":" + entry.on : key] = Object.assign(told, asked);
      delete record.drafts[key];
      record.open = "";
      save();
      fillSessions();
      openSession(key === EXTRA ? EXTRA : usualChoice());
      showSent(told.text);
      showUnsent();
    }

    function showSent(text) {
      find("sent").hidden = false;
      find("sent-text").textContent = text;
      find("sent").focus();
    }

    /* Drafts of other sessions that still wait. */
    function showUnsent() {
      const list = find("unsent-list");
      list.replaceChildren();
      const keys = Object.keys(record.drafts)
        .filter((key) => key !== pick.value && (key === EXTRA || sessionOf(key)));
      for (const key of keys) {
        const button = doc.createElement("button");
        button.type = "button";
        button.textContent = sessionName(key);
        button.addEventListener("click", () => {
          openSession(key);
          record.open = key;
          save();
          showUnsent();
          pick.focus();
        });
        const item = doc.createElement("li");
        item.append(button);
        list.append(item);
      }
      find("unsent").hidden = !keys.length;
    }

    // --- the next morning

    const morning = find("morning");
    let asksFor = null;

    function showMorning() {
      asksFor = morningAsked(record.sent, today);
      morning.hidden = asksFor === null;
      if (asksFor !== null) find("morning-day").textContent = nameOf(asksFor);
    }

    function morningScore() {
      const chosen = morning.querySelector("input:checked");
      return chosen ? Number(chosen.value) : null;
    }

    function morningText(score) {
      return checkinText(code, { on: asksFor, pain: { next_morning: score } });
    }

    function updateMorning() {
      const score = morningScore();
      showWord(scoreBox("next"), score === null ? "" : String(score));
      morning.querySelector("[data-c-morning-much]").hidden = !(score > 5);
      morning.querySelector("[data-c-send]").hidden = score === null;
      morning.querySelector("[data-c-text]").textContent = score === null ? "" : morningText(score);
    }

    morning.addEventListener("change", updateMorning);
    wireSending(morning.querySelector("[data-c-send]"), say, data,
      () => morningText(morningScore()),
      () => {
        const text = morningText(morningScore());
        for (const one of Object.values(record.sent)) {
          if (one.on === asksFor) one.morning = morningScore();
        }
        save();
        for (const choice of morning.querySelectorAll("input")) choice.checked = false;
        updateMorning();
        showMorning();
        showSent(text);
      });
    updateMorning();

    // --- wiring

    const sending = wireSending(form.querySelector("[data-c-send]"), say, data, message, gone);

    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("input", (event) => {
      if (event.target === pick) return;
      find("sent").hidden = true;
      sending.reset();
      event.target.removeAttribute("aria-invalid");
      keepDraft();
      update();
      if (event.target.name === "signs") showAdvice();
    });
    pick.addEventListener("change", () => {
      find("sent").hidden = true;
      openSession(pick.value);
      record.open = pick.value;
      save();
      showUnsent();
    });
    find("planned").addEventListener("click", () => {
      const session = sessionOf(pick.value);
      form.elements.ran.value = String(Math.round(session.run_minutes));
      keepDraft();
      update();
    });
    find("clear").addEventListener("click", () => {
      delete record.drafts[pick.value];
      save();
      openSession(pick.value);
      pick.focus();
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
      record = pruned(store ? loadRecord(store, storeKey) : record, today);
      if (Object.keys(record.drafts).length || Object.keys(record.sent).length) save();
      fillSessions();
      openSession(usualChoice());
      showMorning();
      showUnsent();
    }

    doc.addEventListener("portal:day", newDay);
    doc.addEventListener("portal:shown", newDay);
    find("unit").textContent = unit;
    if (data.emergency) {
      find("number").textContent = data.emergency;
      const dial = data.emergency.replace(/[ ()./-]/g, "");
      if (/^\+?[0-9*#]{2,15}$/.test(dial)) find("number").href = "tel:" + dial;
    }
    newDay();
  }

  world.checkin = {
    checkinText, entryOf, adviceFor, cleanText, morningAsked, pruned, messageLink, addDays, SIGNS,
  };
  world.initCheckin = initCheckin;
})(typeof self === "undefined" ? globalThis : self);
