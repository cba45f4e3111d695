/* Signs check-ins from standard input, {key, entries}, and prints the messages as JSON; with
   {hmac: [[key, data], ...]} in hexadecimal, their HMAC-SHA-256. Run by tests/test_checkin_signed.py. */
"use strict";

const fs = require("node:fs");
const { load } = require("./load.js");

load("checkin/message.js", "checkin/signing.js");
const { checkinText, createSigner, hmac } = globalThis.portalParts.checkin;
const given = JSON.parse(fs.readFileSync(0, "utf-8"));

function signed(entry) {
  return new Promise((done) => {
    const sign = createSigner(given.key, () => done(checkinText("ABCD-EFGH", sign(entry))));
    sign(entry);
  });
}

async function main() {
  const hex = (text) => Uint8Array.from(Buffer.from(text, "hex"));
  const subtle = globalThis.crypto.subtle;
  const tags = await Promise.all((given.hmac || []).map(async ([key, data]) =>
    Buffer.from(await hmac(subtle, hex(key), hex(data))).toString("hex")));
  const texts = await Promise.all((given.entries || []).map(signed));
  process.stdout.write(JSON.stringify({ tags, texts }));
}

main();
