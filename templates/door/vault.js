/* What a sealed page keeps on this device of what its reader told (check-ins and the stops that they
   call for) is sealed as well: the key comes from the link's and is kept nowhere. AES-GCM, a fresh
   nonce for each writing, the name in the additional data. Reading is at once, from memory; what is
   written follows within a moment. A stop is sealed by the link alone, since a passphrase that the
   coach sets or changes must end none. */
"use strict";

(function (world) {
  const NAMES = ["checkin", "stop", "running"];
  const NONCE_BYTES = 12; // NIST SP 800-38D, 8.2.1

  const text64 = (bytes) => btoa(String.fromCharCode(...bytes));
  const bytes64 = (text) => Uint8Array.from(atob(text), (character) => character.charCodeAt(0));

  /* A corner like that of app/device.js, `plain`, for NAMES alone; the second key is the link's. `under`
     has keys in base64 of passphrases before this one: what was kept under them is read as well. */
  async function open(plain, keys, nameOf, under) {
    const values = {};
    for (const text of under ? under.split(" ") : [])
      keys.push(await world.crypto.subtle.importKey("raw", bytes64(text), "AES-GCM", false, ["decrypt"]));
    let writing = Promise.resolve();
    const crypt = (does, key, name, iv, bytes) => world.crypto.subtle[does](
      { name: "AES-GCM", iv, additionalData: new TextEncoder().encode(nameOf(name)) }, key, bytes);

    async function seal(name, value) {
      const iv = world.crypto.getRandomValues(new Uint8Array(NONCE_BYTES));
      const key = keys[+(name === "stop")];
      const sealed = await crypt("encrypt", key, name, iv, new TextEncoder().encode(value));
      return text64(iv) + text64(new Uint8Array(sealed));
    }

    async function read(name) {
      delete values[name];
      const kept = plain.get(name);
      for (const key of kept ? keys : []) {
        try {
          const at = (NONCE_BYTES / 3) * 4;
          values[name] = new TextDecoder().decode(
            await crypt("decrypt", key, name, bytes64(kept.slice(0, at)), bytes64(kept.slice(at))));
        } catch (error) {
          // sealed under the other key, or under another link or passphrase
        }
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
