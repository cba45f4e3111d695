/* From what was typed to the message. Pure.

   The message is a line `Check-in CODE` and then the entry as it will stand in the client's log.
   Free text is always in double quotes with JSON's escapes, which YAML reads the same, so that
   no word of a client's can be taken for anything but a word. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const LEAST_SPM = 100;
  const MOST_SPM = 240;
  const MOST_MINUTES = 24 * 60;
  const MOST_METRES = 200000;
  const METRES = { km: 1000, mi: 1609.344 };
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

  const SCORES = ["during", "after", "next_morning", "before", "walking"];
  const TEXTS = ["said", "pain.site"];

  /* What an entry tells, as [name, value]: each value as the log has it, texts without quotes. */
  function valuesOf(entry) {
    const pain = entry.pain || {};
    return [
      ["on", entry.on],
      ["ran", entry.ran ? entry.ran + " min" : ""],
      ["walked", entry.walked ? entry.walked + " min" : ""],
      ["distance", entry.distance ? entry.distance.amount + " " + entry.distance.unit : ""],
      ["cadence", entry.cadence ? entry.cadence + " spm" : ""],
      ["effort", entry.effort === undefined ? "" : String(entry.effort)],
      ...SCORES.map((name) => ["pain." + name, pain[name] === undefined ? "" : String(pain[name])]),
      ["pain.site", pain.site ? oneLine(pain.site) : ""],
      ["landing", entry.landing || ""],
      ["signs", (entry.signs || []).join(", ")],
      ["skipped", entry.skipped || ""],
      ["well_again", entry.well_again ? "yes" : ""],
      ["heard", entry.heard || ""], // as check.js of Beat writes it
      ["id", entry.id || ""],
      ["signed", entry.signed || ""], // by signing.js
      ["said", entry.said ? cleanText(entry.said) : ""],
    ].filter(([, value]) => value);
  }

  function written([name, value]) {
    if (name === "signs") return "[" + value + "]";
    return TEXTS.includes(name) ? quoted(value) : value;
  }

  /* One log entry as lines of YAML. */
  function entryText(entry) {
    const values = valuesOf(entry);
    const pain = values.filter(([name]) => name.startsWith("pain."))
      .map((one) => one[0].slice(5) + ": " + written(one)).join(", ");
    const lines = values.map((one) =>
      (one[0].startsWith("pain.") ? "pain: {" + pain + "}" : one[0] + ": " + written(one)));
    return lines
      .filter((line, at) => line !== lines[at - 1])
      .map((line, at) => (at ? "  " : "- ") + line)
      .join("\n");
  }

  /* The whole message, ending with a line break. */
  function checkinText(code, entry) {
    return "Check-in " + code + "\n" + entryText(entry) + "\n";
  }

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

  /* The scores that were given, by the log's name of each; `from` maps it to the form's. */
  function painOf(draft, from) {
    const pain = {};
    for (const [name, field] of Object.entries(from)) {
      const score = scoreOf(draft[field]);
      if (score !== undefined) pain[name] = score;
    }
    const hurts = Object.values(pain).some((score) => score > 0);
    if (hurts && draft.site && draft.site.trim()) pain.site = draft.site;
    return Object.keys(pain).length ? pain : null;
  }

  const OF_RUN = { during: "during", after: "after", next_morning: "morning", before: "before" };
  const OF_DAY = { next_morning: "today", walking: "walking" };
  const OF_SKIPPED = { before: "today", walking: "walking" };

  /* What a form's short answers say in full: "as told" the minutes `planned`, no pain a score of 0 for
     each time that has passed, on a later day the next morning's too; what was not said says nothing. */
  function inFull(draft, planned, isLater) {
    const full = Object.assign({}, draft);
    if (draft.did === "told" && planned) full.ran = full.walked = String(planned);
    if (draft.hurt !== "some") {
      const none = draft.hurt === "none" ? "0" : "";
      Object.assign(full, { during: none, after: none, morning: isLater ? none : "", before: "" });
    }
    return full;
  }

  const isDone = (draft) => ["done", "told", "shorter", "longer"].includes(draft.did);

  /* A draft, text by text as typed, into {entry, wrong}: the entry for the log, and the names of
     the fields that have to be mended first. `minutes` is what its minutes are in
     the log: "ran", "walked" where nothing was to be run, "" where it has none. */
  function entryOf(draft, on, unit, minutes) {
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
      const pain = draft.skipped === "pain" ? painOf(draft, OF_SKIPPED) : null;
      if (pain) entry.pain = pain;
    } else if (draft.did === "day") {
      const pain = painOf(draft, OF_DAY);
      if (pain) entry.pain = pain;
      if (draft.well) entry.well_again = true;
      const words = draft.said && cleanText(draft.said);
      if (!pain && !draft.well && !words && !(draft.signs || []).length) wrong.push("today");
    } else if (isDone(draft)) {
      if (minutes) {
        read(minutes, (text) => wholeNumber(text, 1, MOST_MINUTES));
        if (!entry[minutes] && !wrong.includes(minutes)) wrong.push(minutes);
      }
      if (minutes === "ran") {
        read("distance", (text) => distanceOf(text, unit));
        read("cadence", (text) => wholeNumber(text, LEAST_SPM, MOST_SPM));
        if (draft.landing) entry.landing = draft.landing;
        if (draft.heard) entry.heard = draft.heard;
      }
      if (draft.effort) entry.effort = Number(draft.effort);
      const pain = painOf(draft, OF_RUN);
      if (pain) entry.pain = pain;
      if (draft.hurt === "") wrong.push("hurt");
      else if (draft.hurt === "some" && !pain) wrong.push("during");
      if (draft.any === "") wrong.push("any");
    } else {
      wrong.push("did");
    }
    if (draft.any === "some" && !(draft.signs || []).length) wrong.push("signs");
    if (draft.signs && draft.signs.length) entry.signs = draft.signs;
    if (draft.said && cleanText(draft.said)) entry.said = draft.said;
    return { entry, wrong };
  }

  /* What a client has to be told before anything is sent: the gravest of what was ticked, by what
     each tick asks for: "now", "today" or "ill". Nothing where nothing was. */
  function adviceFor(asks) {
    return ["now", "today", "ill"].find((kind) => asks.includes(kind)) || "";
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

  parts.checkin = Object.assign(parts.checkin || {}, {
    checkinText, valuesOf, entryOf, inFull, isDone, adviceFor, cleanText, isMail, messageLink,
  });
})(typeof self === "undefined" ? globalThis : self);
