/* Reads {all: [reacts, ...], sequences: [[entry, ...], ...]} as JSON and writes for each of `all` what a
   device would do by itself: {grades} of each check-in, in each sequence, and {levels} of pain after
   each sequence, by profile. Where {known: [[what a build knows, entries after it], ...]} is given: the
   level of pain that each leads to. Where {texts, own} is: of each text the signs that its words tell of,
   and whether they tell of an illness, by themselves and from who says to be ill. */
"use strict";

const fs = require("node:fs");
const { load } = require("./load.js");

load("checkin/holding.js", "checkin/words.js", "checkin/reacting.js");
const { factsOf, gradesOf, painOf } = globalThis.portalParts.reacting;
const { painState } = globalThis.portalParts.holding;
const { all, sequences, known, words, texts, own } = JSON.parse(fs.readFileSync(0, "utf8"));
globalThis.portalParts.wordLists = words;
const told = sequences.map((one) => one.map((entry) => factsOf(entry)));

function answers(reacts) {
  const levels = {};
  for (const profile of ["standard", "knee"]) {
    levels[profile] = told.map((one) => painState(reacts, {}, one, profile).level);
  }
  return { grades: told.map((one) => gradesOf(reacts, one)), levels };
}

const levelOf = ([knows, entries]) =>
  painOf(Object.assign({}, all[0], knows), entries.map((entry) => factsOf(entry))).state.level;
const { said, isIll } = globalThis.portalParts.worries.createFinder(words);
const wordsOf = (text) => [Object.keys(said(text, own)).sort(), isIll(text, false), isIll(text, true)];
process.stdout.write(JSON.stringify(
  texts ? texts.map(wordsOf) : known ? known.map(levelOf) : all.map(answers),
));
