/* What a sealed page keeps on this device of what its reader told (check-ins and the stops that they
   call for) is sealed as well: the key comes from the link's and is kept nowhere. AES-GCM, a fresh
   nonce for each writing, the name in the additional data. Reading is at once, from memory; what is
   written follows within a moment. The link alone seals it, since a passphrase that the coach sets or
   changes must end no stop, and take no word that is not sent yet. */
"use strict";

(function (world) {
  const NAMES = ["checkin", "stop", "running"];
  const NONCE_BYTES = 12; // NIST SP 800-38D, 8.2.1

  const text64 = (bytes) => btoa(String.fromCharCode(...bytes));
  const bytes64 = (text) => Uint8Array.from(atob(text), (character) => character.charCodeAt(0));

  /* A corner like that of app/device.js, `plain`, for NAMES alone. */
  async function open(plain, key, nameOf) {
    const values = {};
    let writing = Promise.resolve();
    const how = (name, iv) => ({ name: "AES-GCM", iv, additionalData: new TextEncoder().encode(nameOf(name)) });

    async function seal(name, value) {
      const iv = world.crypto.getRandomValues(new Uint8Array(NONCE_BYTES));
      const text = new TextEncoder().encode(value);
      const sealed = new Uint8Array(await world.crypto.subtle.encrypt(how(name, iv), key, text));
      return text64(iv) + text64(sealed);
    }

    async function read(name) {
      delete values[name];
      const kept = plain.get(name);
      if (!kept) return;
      try {
        const at = (NONCE_BYTES / 3) * 4;
        const iv = bytes64(kept.slice(0, at));
        const sealed = bytes64(kept.slice(at));
        values[name] = new TextDecoder().decode(
          await world.crypto.subtle.decrypt(how(name, iv), key, sealed));
      } catch (error) {
        // sealed under another link
      }
    }

    function set(name, value) {
      values[name] = value;
      writing = writing.then(async () => {
        if (values[name] !== value) return; // another came after it
        const sealed = await seal(name, value);
        if (values[name] === value) plain.set(name, sealed);
      });
      return plain.set("probe", "") && (plain.drop("probe"), true);
    }

    for (const name of NAMES) await read(name);
    world.addEventListener("storage", (event) => {
      const name = NAMES.find((one) => nameOf(one) === event.key);
      if (name) read(name);
    });
    return {
      get: (name) => (name in values ? values[name] : null),
      set,
      drop(name) {
        delete values[name];
        plain.drop(name);
      },
    };
  }

  world.portalVault = { open };
})(self);
