/* Signs a check-in: a MAC over its values, so that the coach's tool knows that the page which the
   private link opens has written it. The other half is sitegen/checkins/signing.py. The key stands
   in the sealed document alone; an open page has none, and signs nothing. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { valuesOf } = parts.checkin;

  const HEADER = "sitegen check-in 1\n";
  const LETTERS = "abcdefghijklmnopqrstuvwxyz234567"; // base32, RFC 4648
  const COUNT = 20; // of them, 5 bits each
  const MOST_KEPT = 50;

  /* What mail and phones add, drop or exchange makes no difference; the same lists as in Python. */
  // eslint-disable-next-line no-misleading-character-class
  const UNSEEN = /[\t\n\v\f\r \u0085\u00a0\u00ad\u1680\u180e\u2000-\u200f\u2028-\u202f\u205f-\u2064\u3000\ufe0e\ufe0f\ufeff"'`\u00b4\u2018-\u201f\u00ab\u00bb]/g;
  const DASHES = /[-\u2010-\u2015\u2212]+/g;

  const plain = (text) =>
    text.normalize("NFC").replace(UNSEEN, "").replace(DASHES, "-").replace(/\u2026/g, "...");

  /* An entry's values in the one form that is signed. */
  function canonical(entry) {
    const lines = valuesOf(entry)
      .filter(([name]) => name !== "signed")
      .map(([name, value]) => [name, plain(value)])
      .filter(([, value]) => value)
      .map(([name, value]) => name + "=" + value + "\n");
    return HEADER + lines.sort().join("");
  }

  function bytesOf(text) {
    const bare = world.atob(text.replace(/-/g, "+").replace(/_/g, "/"));
    return Uint8Array.from(bare, (character) => character.charCodeAt(0));
  }

  async function hmac(subtle, key, message) {
    const how = { name: "HMAC", hash: "SHA-256" };
    const secret = await subtle.importKey("raw", key, how, false, ["sign"]);
    return new Uint8Array(await subtle.sign("HMAC", secret, message));
  }

  function lettersOf(bytes) {
    const bits = Array.from(bytes, (byte) => byte.toString(2).padStart(8, "0")).join("");
    return Array.from({ length: COUNT },
      (_, at) => LETTERS[parseInt(bits.slice(5 * at, 5 * at + 5), 2)]).join("");
  }

  /* Gives an entry with its letters, or without while they are worked out: `done` is called once
     they are there. So the text is whole before a finger is on a button, as a browser follows a
     link to a mail program only at once. Without a key, or without the browser's cryptography,
     entries stay as they are. */
  function createSigner(keyText, done) {
    const subtle = world.crypto && world.crypto.subtle;
    const known = new Map();
    return (entry) => {
      if (!keyText || !subtle) return entry;
      const text = canonical(entry);
      if (!known.has(text)) {
        if (known.size >= MOST_KEPT) known.delete(known.keys().next().value);
        known.set(text, "");
        hmac(subtle, bytesOf(keyText), new TextEncoder().encode(text)).then((tag) => {
          known.set(text, lettersOf(tag));
          done();
        }, () => {}); // not signed: the coach's tool says so
      }
      return Object.assign({}, entry, { signed: known.get(text) });
    };
  }

  Object.assign(parts.checkin, { canonical, createSigner, hmac });
})(typeof self === "undefined" ? globalThis : self);
