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
      const known = parts.some((part) => part.dataset.door === name);
      for (const part of parts) part.hidden = part.dataset.door !== (known ? name : "failed");
      document.documentElement.dataset.door = known ? name : "failed";
      door.hidden = false;
      if (name === "wrong-passphrase") form.hidden = false;
      if (!form.hidden) field.focus();
    }

    const fromAddress = portal.keyInAddress();
    const key = fromAddress || portal.keep.get("key") || "";

    async function attempt(passphrase) {
      say("opening");
      let text;
      try {
        const bytes = window.sealedBytes(block.textContent);
        text = await window.openSealed(bytes, block.dataset.portal, key, passphrase);
      } catch (error) {
        say((error && error.code) || "failed");
        return;
      }
      field.value = "";
      const root = document.getElementById("portal");
      root.hidden = true; // nothing is shown before it is today's
      root.innerHTML = portal.policy.createHTML(text);
      document.documentElement.dataset.door = "open";
      portal.keyUsed = key;
      portal.soon(() => {
        door.hidden = true;
        root.hidden = false;
        portal.start();
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
