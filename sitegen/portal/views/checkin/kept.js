/* The list of what this device keeps of check-ins: begun ones to go on with, and sent ones that no
   build lists yet, which can be sent once more. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  /* `form` is what the view shares with its parts, see view.js. */
  function wireKept(form) {
    const { wireSending } = parts.checkin;
    const { find, say, portal } = form;
    const doc = world.document;
    const again = find("resend");
    let text = "";

    function line(words, state, does, click) {
      const item = doc.createElement("li");
      const button = doc.createElement("button");
      button.type = "button";
      button.textContent = does;
      button.setAttribute("aria-label", does + ": " + words);
      button.addEventListener("click", click);
      const says = doc.createElement("span");
      says.append(words, doc.createElement("br"), Object.assign(doc.createElement("small"), { textContent: state }));
      item.append(says, button);
      return item;
    }

    function nameOfSent(key, one) {
      if (!key.includes(":")) return form.sessionName(key);
      return say(key.startsWith("morning:") ? "morning" : "on-day", { day: form.nameOf(one.on) });
    }

    function sendAgain(one) {
      text = one.text;
      sending.reset();
      again.hidden = false;
      again.querySelector("[data-c-text]").textContent = text;
      again.querySelector("[data-c-copy]").focus();
    }

    const waiting = () => Object.entries(form.record().sent).filter(([, one]) => one.text);

    function show() {
      const { drafts } = form.record();
      const begun = Object.keys(drafts).filter((key) => !form.isOpen(key) && form.isKnown(key));
      const items = begun.map((key) =>
        line(form.sessionName(key), say("begun"), say("go-on"), () => {
          form.open(key);
          show();
        }));
      for (const [key, one] of waiting()) {
        items.push(line(nameOfSent(key, one), say("waits"), say("again"), () => sendAgain(one)));
      }
      find("list").replaceChildren(...items);
      find("list-box").hidden = !items.length;
      again.hidden = true;
    }

    const sending = wireSending(again, say, portal.data, () => text, () => {
      again.hidden = true;
      form.showSent(text);
    });
    // A stop leads here: the last one that was sent.
    doc.addEventListener("portal:shown", ({ detail }) => {
      const last = waiting().pop();
      if (detail && detail.view === "checkin" && detail.id === "kept" && last) sendAgain(last[1]);
    });
    return { show };
  }

  parts.checkin = Object.assign(parts.checkin || {}, { wireKept });
})(typeof self === "undefined" ? globalThis : self);
