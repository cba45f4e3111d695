/* Reads {reacts, sequences: [[entry, ...], ...]} as JSON and writes the grade of each check-in, in
   each sequence: what a device would do by itself. */
"use strict";

const fs = require("node:fs");
const { load } = require("./load.js");

load("checkin/reacting.js");
const { factsOf, gradesOf } = globalThis.portalParts.reacting;
const { reacts, sequences } = JSON.parse(fs.readFileSync(0, "utf8"));
process.stdout.write(JSON.stringify(sequences.map((one) => gradesOf(reacts, one.map(factsOf)))));
