/* The list of what this device keeps of check-ins: begun ones to go on with, and sent ones that no
   build lists yet, which can be sent once more. Of one that was forgotten and still stops the plan
   its signs and scores are sent. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  /* `form` is what the view shares with its parts, see view.js. */
  function wireKept(form) {
    const { wireSending } = parts.checkin;
    const { find, say, portal } = form;
    const doc = world.document;
    const again = find("resend");
    let chosen = null;
    const textOf = (one) => one.text || form.textOf(one);

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
      chosen = one;
      sending.reset();
      again.hidden = false;
      again.querySelector("[data-c-text]").textContent = textOf(one);
      again.querySelector("[data-c-copy]").focus();
    }

    function waiting() {
      const sent = Object.entries(form.record().sent).filter(([, one]) => one.text);
      const isKept = ({ id }) => sent.some(([, one]) => one.id === id);
      for (const one of portal.stops.waiting().filter((other) => !isKept(other))) {
        const { id, on, pain, ill } = one;
        const signs = one.signs.filter((sign) => form.view.querySelector(`[name=signs][value=${sign}]`));
        const skipped = pain.left ? "pain" : ill ? "ill" : "";
        const entry = { id, on, pain, signs, skipped };
        if (!signs.length && !skipped && !one.worst) continue; // words alone, which are gone
        textOf(entry); // what signs it comes a moment later
        sent.push([":", entry]);
      }
      return sent;
    }

    function show() {
      const { drafts } = form.record();
      const begun = Object.keys(drafts).filter((key) => !form.isOpen(key));
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

    const sending = wireSending(again, say, portal.data, () => textOf(chosen), () => {
      again.hidden = true;
      form.showSent(textOf(chosen));
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
