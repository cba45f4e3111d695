/* Lets the listening check hear files of sound. On standard input come lines of JSON:
   {file, rate, from, to, bursts}, where the file holds 32-bit floats and bursts are pairs of seconds;
   a line of JSON goes out for each: what was measured, the bursts' levels, and the processor seconds
   that hearing and measuring took. With {power, from, to} it measures frames as they are; with
   {found, pairs} it is asked what may be claimed. */
"use strict";

const fs = require("node:fs");
const path = require("node:path");

require(path.join(__dirname, "..", "..", "templates", "listening.js"));
const { ear, measure, burstLevel, gainOf, compare } = globalThis.portalParts.listening;

const BLOCK = 128; // samples that an audio graph hands on at once

function hear({ file, rate, from, to, bursts }) {
  const bytes = fs.readFileSync(file);
  const wave = new Float32Array(bytes.buffer, bytes.byteOffset, bytes.length / 4);
  const one = ear(rate);
  const began = process.cpuUsage();
  for (let at = 0; at < wave.length; at += BLOCK) one.hear(wave.subarray(at, at + BLOCK));
  const heard = process.cpuUsage(began).user / 1e6;
  const found = one.isDeaf ? { refused: "low-rate" } : measure(one.frames, from, to);
  const both = process.cpuUsage(began).user / 1e6;
  const pairs = (bursts || []).map((pair) => pair.map((at) => burstLevel(one.frames, at)));
  return { ...found, pairs, hear_s: heard, measure_s: both - heard };
}

function claim({ found, pairs }) {
  const gain = gainOf(pairs);
  return { gain, ...compare(found, gain) };
}

function count({ power, from, to }) {
  return measure({ step: power, loud: power, tone: [{ at: power.length / 2, db: 2.5 }] }, from, to);
}

for (const line of fs.readFileSync(0, "utf8").split("\n").filter(Boolean)) {
  const asked = JSON.parse(line);
  const answer = asked.file ? hear : asked.power ? count : claim;
  console.log(JSON.stringify(answer(asked)));
}
