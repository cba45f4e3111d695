/* Write templates/scripts.json anew: for each script of the page a hash of what it is now, and its
   short form, as it travels. `node tools/shorten.mjs`, after each change of a script; with a path, written there. */
import { createHash } from "node:crypto";
import { readFileSync, readdirSync, writeFileSync } from "node:fs";
import { minify } from "terser";

const TOP = new URL("../", import.meta.url);
const PLACES = { "templates/": "", "sitegen/portal/views/": "views/" }; // folder: its names begin so
const DESK = "desk/"; // is not sent to clients
// What the scripts hand each other are properties of `window`, which no renaming touches.
// Names come in one order for all scripts, so that like lines look alike: it takes 0.6 kB off what is sent.
const LETTERS = "etnrisouaflchpdvmgybwESxTNCkLAOMDPHBjFIqRUzWXVJKQGYZ_$";
const NAMES = {
  get(number) {
    const first = LETTERS[number % LETTERS.length];
    return number < LETTERS.length ? first : first + NAMES.get(Math.floor(number / LETTERS.length) - 1);
  },
};
const OPTIONS = {
  ecma: 2017, // the door tells old browsers that they are old, so no newer words than its own
  compress: { passes: 2, inline: 1, lhs_constants: false, unsafe_methods: true, unsafe: true, pure_getters: true }, // no script asks a method for `new`
  mangle: { nth_identifier: NAMES },
  format: { quote_style: 1, ascii_only: true },
};
// The same wherever both are; and every browser that runs these scripts has the second.
const WORLD = ["typeof self === \"undefined\" ? globalThis : self", "globalThis"];

const forms = {};
for (const [folder, begins] of Object.entries(PLACES)) {
  const names = readdirSync(new URL(folder, TOP), { recursive: true });
  for (const name of names.map((n) => n.replaceAll("\\", "/"))) {
    if (!name.endsWith(".js") || name.startsWith(DESK)) continue;
    const text = readFileSync(new URL(folder + name, TOP), "utf-8");
    const hash = createHash("sha256").update(text).digest("hex").slice(0, 10);
    forms[begins + name] = [hash, (await minify(text.replace(...WORLD), OPTIONS)).code];
  }
}
// An empty line between, so that changes of two scripts merge.
const lines = Object.keys(forms).sort().map((n) => JSON.stringify(n) + ": " + JSON.stringify(forms[n]));
writeFileSync(process.argv[2] || new URL("templates/scripts.json", TOP), "{\n" + lines.join(",\n\n") + "\n}\n");
