/* Runs' files through the page's own reader: `node runs.js ZONE < JOB`, JOB being JSON: {limits, files:
   {name: base64}, slice: bytes}. Prints JSON: what each file gave, by name. */
"use strict";

const fs = require("node:fs");
const { load } = require("./load.js");

const job = JSON.parse(fs.readFileSync(0, "utf8"));
load();
globalThis.portalParts.runFile = { limits: Object.assign({}, job.limits, job.slice && { slice_bytes: job.slice }) };
load(...["run_xml", "run_sum", "run_gpx", "run_csv", "run_file"].map((name) => `checkin/${name}.js`));
const { readRunFile, metresBetween } = globalThis.portalParts.runFile;

const shape = new Intl.DateTimeFormat("sv-SE", {
  timeZone: process.argv[2], dateStyle: "short", timeStyle: "medium",
});
const local = (ms) => shape.format(new Date(ms)).replace(" ", "T");

async function main() {
  const found = {};
  for (const [name, text] of Object.entries(job.files)) {
    const bytes = Buffer.from(text, "base64");
    found[name] = await readRunFile(bytes.length, async (from, to) => bytes.subarray(from, to), local);
  }
  const between = (job.ways || []).map(([one, other]) => metresBetween(one, other));
  console.log(JSON.stringify({ found, between }));
}

main();
