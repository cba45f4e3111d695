/* The door of a sealed portal: takes the key from the address or from this device, opens the
   document with seal.js, and says in plain words what is wrong where it does not open. */
"use strict";

(function () {
  function open(portal) {
    const door = document.getElementById("door");
    const block = document.getElementById("sealed");
    const parts = Array.from(door.querySelectorAll("[data-door]"));
    const form = door.querySelector("form");
    const field = document.getElementById("passphrase");

    function say(name) {
      const isFor = (part) => part.dataset.door.split(" ").includes(name);
      if (!parts.some(isFor)) name = "failed";
      for (const part of parts) part.hidden = !isFor(part);
      document.documentElement.dataset.door = name;
      door.hidden = false;
      if (name === "wrong-passphrase") form.hidden = false;
      if (!form.hidden) field.focus();
    }

    const fromAddress = portal.keyInAddress();
    const key = fromAddress || portal.keep.get("key") || "";

    let keys = null;
    let stretched = null;
    const take = (...given) => { [keys, stretched] = given; };

    /* The passphrase as it was stretched, where the reader chose not to be asked again. */
    function kept() {
      const words = portal.keep.get("words");
      return words && Uint8Array.from(atob(words), (character) => character.charCodeAt(0));
    }

    async function attempt(passphrase) {
      say("opening");
      let text;
      try {
        const bytes = window.sealedBytes(block.textContent);
        text = await window.openSealed(bytes, block.dataset.portal, key, passphrase || kept(), take);
      } catch (error) {
        if (error && error.code === "wrong-passphrase" && !passphrase) {
          portal.keep.drop("words"); // the coach has set another since
          attempt(null);
          return;
        }
        say((error && error.code) || "failed");
        return;
      }
      portal.wordsUsed = stretched && btoa(String.fromCharCode(...stretched));
      field.value = "";
      const root = document.getElementById("portal");
      root.hidden = true; // nothing is shown before it is today's
      root.innerHTML = portal.policy.createHTML(text);
      const { under } = document.getElementById("portal-data").dataset;
      portal.own = await window.portalVault.open(portal.keep, keys, portal.nameOf, under);
      document.documentElement.dataset.door = "open";
      portal.keyUsed = key;
      portal.soon(() => {
        door.hidden = true;
        root.hidden = false;
        portal.start(passphrase);
      });
    }

    form.addEventListener("submit", (event) => {
      event.preventDefault();
      attempt(field.value);
    });
    // An app on the home screen has no address bar to paste a link into.
    const link = document.getElementById("whole-link");
    const follow = () => {
      const end = link.value.trim().replace(/^[^#]*#?/, "");
      if (end) location.hash = end;
      else link.focus();
    };
    document.getElementById("open-link").addEventListener("click", follow);
    link.addEventListener("keydown", (event) => {
      if (event.key === "Enter") follow();
    });

    // Another link typed over this one while the door is still shut: begin anew.
    window.addEventListener("hashchange", () => {
      if (document.documentElement.dataset.door !== "open") location.reload();
    });
    attempt(null);
    return { say };
  }

  window.portalDoor = { open };
})();
