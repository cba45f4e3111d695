/* Opens a sealed portal in the browser. The format is docs/sealing.md; the other half is
   sitegen/seal/sealing.py.

   A classic script, since a page opened from disk may not load modules, and written in the
   language of 2017, so that an old browser gets as far as telling its owner that it is old.
   Needs no network and no other file. Puts three names on the page:

     openSealed(sealedBytes, portalId, keyText, passphraseOrNull, take) -> Promise of the text;
       bytes in place of a passphrase are one stretched before. `take`, if given, is handed
       two keys for what this device keeps, with the passphrase in the first and of the link alone,
       and those bytes or null
     sealedBytes(base64Text)  -> Uint8Array, from the text that lies in the page
     SealFailure              -> the only error these throw on purpose; its `code` is one of
       no-key            the link carries no key
       bad-key-form      the key is cut short or garbled
       wrong-key         a whole key, but of another portal
       needs-passphrase  a passphrase is asked for and none was given
       wrong-passphrase  not this one
       damaged           the page was cut or changed on its way
       unknown-version   the page was made by a newer version than this script
       insecure-context  plain http: the browser withholds its cryptography
       old-browser       the browser lacks something that this needs */
"use strict";

(function (world) {
  const HEAD_BYTES = 42;
  const TAG_BYTES = 32;
  const GCM_TAG_BYTES = 16;
  const DIGEST_BYTES = 32;
  const LENGTH_BYTES = 4;
  const VERSION = 1;
  const NEEDS_PASSPHRASE = 1;
  const LEAST_ROUNDS = 100000;
  const MOST_ROUNDS = 10000000;
  const DOCUMENT_LIMIT = 8 * 1024 * 1024;

  class SealFailure extends Error {
    constructor(code) {
      super(code);
      this.name = "SealFailure";
      this.code = code;
    }
  }

  function fail(code) {
    throw new SealFailure(code);
  }

  function bytesFromBase64(text) {
    return Uint8Array.from(atob(text), (character) => character.charCodeAt(0));
  }

  function sealedBytes(text) {
    const bare = text.trim();
    if (!/^[A-Za-z0-9+/]+={0,2}$/.test(bare) || bare.length % 4 !== 0) fail("damaged");
    return bytesFromBase64(bare);
  }

  // 43 characters carry 258 bits; the last two must be zero, hence the short list at the end.
  const KEY_FORM = /^[A-Za-z0-9_-]{42}[AEIMQUYcgkosw048]$/;

  function linkKey(keyText) {
    const text = (keyText || "").trim();
    if (!text) fail("no-key");
    if (!KEY_FORM.test(text)) fail("bad-key-form");
    return bytesFromBase64(text.replace(/-/g, "+").replace(/_/g, "/") + "=");
  }

  function checkBrowser() {
    const subtle = world.crypto && world.crypto.subtle;
    if (!subtle) fail(world.isSecureContext === false ? "insecure-context" : "old-browser");
    if (!world.DecompressionStream || !world.TextDecoder) fail("old-browser");
    return subtle;
  }

  function utf8(text) {
    return new TextEncoder().encode(text);
  }

  function join(...parts) {
    const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
    let at = 0;
    for (const part of parts) {
      whole.set(part, at);
      at += part.length;
    }
    return whole;
  }

  function same(one, other) {
    return one.length === other.length && one.every((byte, at) => byte === other[at]);
  }

  async function derive(subtle, secret, purpose, portal, more, size) {
    const key = await subtle.importKey("raw", secret, "HKDF", false, ["deriveBits"]);
    const info = join(utf8("sitegen seal 1 " + purpose + " "), portal, more);
    const how = { name: "HKDF", hash: "SHA-256", salt: new Uint8Array(32), info };
    return new Uint8Array(await subtle.deriveBits(how, key, size * 8));
  }

  // Phones add a space after a word, and systems differ in how they compose an accent.
  function plainWords(passphrase) {
    return (passphrase || "")
      .normalize("NFC")
      .replace(/[\t\n\r \u00a0\u1680\u2000-\u200a\u202f\u205f\u3000]+/g, " ")
      .replace(/^ | $/g, "");
  }

  async function stretch(subtle, words, salt, iterations) {
    const key = await subtle.importKey("raw", utf8(words), "PBKDF2", false, ["deriveBits"]);
    const how = { name: "PBKDF2", hash: "SHA-256", salt, iterations };
    return new Uint8Array(await subtle.deriveBits(how, key, 256));
  }

  async function inflate(compressed) {
    const stream = new DecompressionStream("deflate");
    const writer = stream.writable.getWriter();
    const written = writer.write(compressed).then(() => writer.close());
    written.catch(() => {}); // what goes wrong there is thrown by the reader below
    const reader = stream.readable.getReader();
    const parts = [];
    let size = 0;
    try {
      for (;;) {
        const { done, value } = await reader.read();
        if (done) break;
        size += value.length;
        if (size > DOCUMENT_LIMIT) {
          reader.cancel().catch(() => {});
          fail("damaged");
        }
        parts.push(value);
      }
    } catch (error) {
      fail("damaged");
    }
    return join(...parts);
  }

  async function openSealed(sealed, portalId, keyText, passphrase, take) {
    const key = linkKey(keyText);
    const subtle = checkBrowser();
    const portal = utf8(portalId);

    if (sealed.length < HEAD_BYTES) fail("damaged");
    const fields = new DataView(sealed.buffer, sealed.byteOffset, sealed.byteLength);
    if (fields.getUint32(0) !== 0x5345414c) fail("damaged"); // "SEAL"
    if (fields.getUint8(4) !== VERSION) fail("unknown-version");
    const flags = fields.getUint8(5);
    const rounds = fields.getUint32(6);
    const salt = sealed.subarray(10, 26);
    const check = sealed.subarray(26, HEAD_BYTES);

    const least = HEAD_BYTES + TAG_BYTES + LENGTH_BYTES + GCM_TAG_BYTES;
    const end = sealed.length - DIGEST_BYTES;
    if (end < least) fail("damaged");
    const digest = new Uint8Array(await subtle.digest("SHA-256", sealed.subarray(0, end)));
    if (!same(digest, sealed.subarray(end))) fail("damaged");
    if (flags & ~NEEDS_PASSPHRASE) fail("unknown-version");

    const none = new Uint8Array(0);
    if (!same(check, await derive(subtle, key, "link check", portal, none, 16))) fail("wrong-key");

    let secret = key;
    let stretched = null;
    if (flags & NEEDS_PASSPHRASE) {
      if (rounds < LEAST_ROUNDS || rounds > MOST_ROUNDS) fail("damaged");
      if (passphrase instanceof Uint8Array) stretched = passphrase;
      else {
        const words = plainWords(passphrase);
        if (!words) fail("needs-passphrase");
        stretched = await stretch(subtle, words, salt, rounds);
      }
      secret = join(key, stretched);
    }

    const tag = sealed.subarray(HEAD_BYTES, HEAD_BYTES + TAG_BYTES);
    const both = await derive(subtle, secret, "document", portal, tag, 44);
    const how = {
      name: "AES-GCM",
      iv: both.subarray(32),
      additionalData: join(sealed.subarray(0, HEAD_BYTES + TAG_BYTES), portal),
    };
    const keyOf = (raw) => subtle.importKey("raw", raw, "AES-GCM", false, ["encrypt", "decrypt"]);
    const aes = await keyOf(both.subarray(0, 32));
    let padded;
    try {
      const text = sealed.subarray(HEAD_BYTES + TAG_BYTES, end);
      padded = new Uint8Array(await subtle.decrypt(how, aes, text));
    } catch (error) {
      fail(flags & NEEDS_PASSPHRASE ? "wrong-passphrase" : "damaged");
    }

    if (take) {
      const device = async (from) => keyOf(await derive(subtle, from, "device", portal, none, 32));
      take([await device(secret), await device(key)], stretched);
    }
    const size = new DataView(padded.buffer).getUint32(0);
    if (size > padded.length - LENGTH_BYTES) fail("damaged");
    const document = await inflate(padded.subarray(LENGTH_BYTES, LENGTH_BYTES + size));
    try {
      return new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(document);
    } catch (error) {
      return fail("damaged");
    }
  }

  world.SealFailure = SealFailure;
  world.sealedBytes = sealedBytes;
  world.openSealed = openSealed;
})(typeof self === "undefined" ? globalThis : self);
