/* What a session that runs says besides its clicks, by voice and vibration, and what of it outlives a
   reload. Voices of the device only: others send the words away. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const BUZZ = { walk: [90, 120, 90], end: [500] }; // ms; any other part is one long one
  const LONG = [350];
  const KEEP_MORE = 3600; // seconds after its end at which a session is no longer gone on with; no source

  /* The device's own voice for a language, or null. */
  function ownVoice(language) {
    const speech = world.speechSynthesis;
    const base = language.split("-")[0];
    const voices = speech ? speech.getVoices() : [];
    return voices.find((one) => one.localService && one.lang.split(/[-_]/)[0] === base) || null;
  }

  function speak(words, language) {
    const voice = ownVoice(language);
    if (!voice || !words) return;
    const said = new world.SpeechSynthesisUtterance(words);
    said.voice = voice;
    said.lang = voice.lang;
    world.speechSynthesis.cancel();
    world.speechSynthesis.speak(said);
  }

  function buzz(kind) {
    if (world.navigator.vibrate) world.navigator.vibrate(BUZZ[kind] || LONG);
  }

  /* Where a session stands that was begun on this device: {id, spm, stopped, here}, in seconds of its
     line, or null. `stopped` is where it was last seen going, `here` where it would be by the
     clock; null where that is over or the device's clock was turned back. */
  function begunAt(kept, now, seconds) {
    if (!kept || !(kept.time >= 0 && kept.time < seconds)) return null;
    const passed = (now - kept.at) / 1000;
    if (passed > seconds + KEEP_MORE) return null;
    const here = kept.time + passed;
    return { stopped: kept.time, here: passed >= 0 && here < seconds ? here : null };
  }

  /* Minutes of running in a line up to `time`. */
  function ranUntil(line, time) {
    const runs = line.filter((one) => ["run", "beat"].includes(one.kind));
    const seconds = runs.reduce((sum, one) =>
      sum + Math.max(0, Math.min(one.end, time) - one.start), 0);
    return Math.round(seconds / 60);
  }

  parts.beat = Object.assign(parts.beat || {}, { ownVoice, speak, buzz, begunAt, ranUntil });
})(typeof self === "undefined" ? globalThis : self);
