/* The ways out for a check-in: the phone's share sheet, mail or message, copy. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const { isMail, messageLink } = parts.checkin;

  async function copyText(text) {
    try {
      await world.navigator.clipboard.writeText(text);
      return true;
    } catch (error) {
      const area = world.document.createElement("textarea");
      area.className = "c-unseen";
      area.value = text;
      world.document.body.append(area);
      area.select();
      let copied = false;
      try {
        copied = world.document.execCommand("copy");
      } catch (refused) {
        copied = false;
      }
      area.remove();
      return copied;
    }
  }

  /* The three ways out. `message()` gives the text, or null after it has shown what is missing;
     `gone()` is called once the client has let it go. */
  function wireSending(box, say, data, message, gone) {
    const find = (name) => box.querySelector("[data-c-" + name + "]");
    const contact = data.coach.contact;
    const link = find("message");
    const sure = find("sure");
    const note = find("send-note");

    function ask(words) {
      note.textContent = words;
      sure.hidden = false;
      find("sure-yes").focus();
    }

    function reset() {
      sure.hidden = true;
      note.textContent = "";
    }

    link.href = messageLink(contact, data.code, "");
    link.hidden = !link.getAttribute("href");
    link.textContent = say(isMail(contact) ? "mail" : "sms");
    if (typeof world.navigator.share === "function") {
      find("share").hidden = false;
      find("share").addEventListener("click", async () => {
        const text = message();
        if (text === null) return;
        try {
          await world.navigator.share({ text });
          ask(say("sure-shared")); // a sheet tells only that a program was chosen
        } catch (error) {
          // AbortError: the client closed the sheet; nothing is wrong.
          note.textContent = say(error && error.name === "AbortError" ? "not-shared" : "no-share");
        }
      });
    }
    link.addEventListener("click", (event) => {
      const text = message();
      if (text === null) {
        event.preventDefault();
        return;
      }
      link.href = messageLink(contact, data.code, text);
      ask(say("sure-message"));
    });
    find("copy").addEventListener("click", async () => {
      const text = message();
      if (text === null) return;
      const isCopied = await copyText(text);
      ask(say(isCopied ? "sure-copied" : "no-copy", { contact }));
      if (!isCopied) find("copy").focus();
    });
    find("sure-yes").addEventListener("click", () => {
      reset();
      gone();
    });
    find("sure-no").addEventListener("click", () => {
      sure.hidden = true;
      note.textContent = say("still-kept");
      find("copy").focus();
    });
    return { reset };
  }

  Object.assign(parts.checkin, { wireSending });
})(typeof self === "undefined" ? globalThis : self);
