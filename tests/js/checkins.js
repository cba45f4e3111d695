/* Check-ins with free text as nasty as it comes: `node checkins.js COUNT SEED` prints a JSON list
   of {text, entry, typed}, for the project's own reader to take back (tests/test_checkin.py). */
"use strict";

const { load } = require("./load.js");
load("checkin/message.js");
const { chance } = require("./signals.js");
const { checkinText, entryOf, cleanText } = globalThis.portalParts.checkin;

const SIGNS = ["swelling", "limp", "calf_swelling", "fever", "chest_pain", "coughing_blood"];

const uniform = chance(Number(process.argv[3]));
const pick = (list) => list[Math.floor(uniform() * list.length)];
const maybe = (make, share = 0.6) => (uniform() < share ? make() : "");
const score = () => String(Math.floor(uniform() * 11));

const BITS = [
  "no", "yes", "null", "~", "on: off", "- ", "-", "--- ", "...", "'", '"', "''", '""', "\\", "\\n",
  "\\u0041", ": ", " #", "# not a comment", "{", "}", "[", "]", ", ", "&a", "*a", "!!str ", "%YAML",
  "@", "`", "|", ">", "?", "\n", "\r\n", "\r", "\n\n", "\t", "  ", "\u00a0", "\u2028", "\u0085",
  "\u0000", "\u0007", "\u007f", "\u009f", "\ufeff", "\ud83c\udfc3", "\ud83d\ude2c\ufe0f",
  "\ud83d", "\udc4d", "\u{1f469}\u200d\u{1f9b0}", "knie tut weh", "Çà et là", "بخير",
  "膝が痛い", "“fine”", "1_000", "010", "1:02:03", "5.2 km", "Check-in ABCD-EFGH", "- on: 2027-01-01", "said:",
  "<b>", "</script>",
  "left knee", "Felt fine.", "e\u0301", "\u202e", "=", "<<", "0x1F", "2027-02-30", "true",
];
const upTo = (most) => Math.floor(uniform() * most);
const words = (most) =>
  Array.from({ length: 1 + upTo(most) }, () => pick(BITS)).join(pick(["", " "]));
const distance = () =>
  (0.1 + uniform() * 42).toFixed(upTo(3)).replace(/^0$/, "1").replace(".", pick([".", ","]));

function one() {
  const on = new Date(Date.UTC(2027, 0, 1 + upTo(365))).toISOString().slice(0, 10);
  const draft = {
    did: pick(["done", "done", "done", "skipped", "day"]),
    ran: String(1 + Math.floor(uniform() * 240)),
    walked: String(1 + upTo(240)),
    distance: maybe(distance),
    cadence: maybe(() => String(100 + Math.floor(uniform() * 141))),
    effort: maybe(score), during: maybe(score), after: maybe(score), morning: maybe(score, 0.2),
    before: maybe(score, 0.2), today: score(), walking: maybe(score), well: maybe(() => "yes", 0.2),
    site: maybe(() => words(3)), landing: maybe(() => pick(["quiet", "mixed", "loud"])),
    skipped: pick(["ill", "travel", "pain", "time", "other"]),
    signs: SIGNS.filter(() => uniform() < 0.1), said: maybe(() => words(12), 0.8),
  };
  const { entry, wrong } = entryOf(draft, on, pick(["km", "mi"]),
    uniform() < 0.9 ? pick(["ran", "ran", "walked"]) : "");
  if (wrong.length) throw new Error(JSON.stringify({ draft, wrong }));
  const text = checkinText("ABCD-EFGH", entry);
  if (entry.said) entry.said = cleanText(entry.said);
  if (entry.pain && entry.pain.site) entry.pain.site = cleanText(entry.pain.site).replace(/\s*\n\s*/g, " ");
  const typed = { said: draft.said, site: entry.pain && entry.pain.site ? draft.site : "" };
  return { text, entry, typed };
}

console.log(JSON.stringify(Array.from({ length: Number(process.argv[2]) }, one)));
