/* Measurements of the player in a real browser, as functions for the browser test to call.

   `renderOffline` lets the browser's own renderer sound ten minutes while the player is called at
   uneven moments, as a page's timers would. `recordLive` listens on the thread of a live audio
   context. Both give the moments at which sound sets in, read from the samples themselves. */
(() => {
  const { beat } = portalParts;
  const SILENCE = 0.05; // a click is heard as new after this long without sound
  const HEARD = 0.05;

  function onsets(samples, rate) {
    const found = [];
    let last = -1;
    for (let at = 0; at < samples.length; at += 1) {
      if (Math.abs(samples[at]) < HEARD) continue;
      if (at / rate - last > SILENCE) found.push(at / rate);
      last = at / rate;
    }
    return found;
  }

  async function renderOffline(spm, seconds, every) {
    const rate = 8000;
    const context = new OfflineAudioContext(1, rate * seconds, rate);
    const player = beat.createPlayer(context);
    player.start(beat.endless(spm), 1);
    let seed = 1;
    let calls = 0;
    for (let at = 0.3; at < seconds; ) {
      context.suspend(at).then(() => {
        calls += 1;
        player.pump();
        context.resume();
      });
      seed = (seed * 16807) % 2147483647;
      at += every * (0.2 + (0.8 * seed) / 2147483647);
    }
    const buffer = await context.startRendering();
    return { calls, onsets: onsets(buffer.getChannelData(0), rate) };
  }

  async function recordLive(spm, seconds) {
    const context = new AudioContext();
    await context.resume();
    await context.audioWorklet.addModule("listener.js");
    const tap = new AudioWorkletNode(context, "listener");
    const found = [];
    tap.port.onmessage = (event) => found.push(event.data);
    tap.connect(context.destination);
    const player = beat.createPlayer({
      get currentTime() { return context.currentTime; },
      sampleRate: context.sampleRate,
      destination: tap,
      createGain: () => context.createGain(),
      createBuffer: (...how) => context.createBuffer(...how),
      createBufferSource: () => context.createBufferSource(),
    });
    player.start(beat.endless(spm), 1);
    const began = context.currentTime;
    const timer = setInterval(() => player.pump(), 100);
    while (context.currentTime - began < seconds) await new Promise((go) => setTimeout(go, 50));
    clearInterval(timer);
    player.stop();
    await context.close();
    return found;
  }

  window.measure = { renderOffline, recordLive };
})();
