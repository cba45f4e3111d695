/* The microphone, for as long as a listening check lasts. What it hears goes into the audio graph, to
   templates/listening.js, and only numbers come out. `close()` stops the tracks at once, which puts
   the phone's indicator out. */
"use strict";

(function (world) {
  const parts = (world.portalParts = world.portalParts || {});

  const HISS_S = 0.25;
  const SOFTER = 10 ** (-12 / 20);
  const PLAIN = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };

  /* Whether this browser could listen at all. */
  function canListen() {
    return Boolean(world.isSecureContext && world.AudioWorkletNode && world.AudioContext
      && world.navigator.mediaDevices && world.navigator.mediaDevices.getUserMedia);
  }

  function hissOf(context) {
    const size = Math.ceil(context.sampleRate * HISS_S);
    const buffer = context.createBuffer(1, size, context.sampleRate);
    buffer.copyToChannel(Float32Array.from({ length: size }, () => Math.random() * 2 - 1), 0);
    return buffer;
  }

  /* Asks for the microphone, so call it from a button. `script` is what the graph loads; `lost()` is
     told when the phone takes the microphone away. Rejects where it is not given. */
  async function openMicrophone(script, lost) {
    const context = new world.AudioContext({ latencyHint: "interactive" });
    let stream = null;
    function close() {
      if (stream) for (const track of stream.getTracks()) track.stop();
      stream = null;
      if (context.state !== "closed") context.close().catch(() => {});
    }
    try {
      context.resume().catch(() => {});
      stream = await world.navigator.mediaDevices.getUserMedia({ audio: PLAIN });
      await context.audioWorklet.addModule(script);
      await context.resume();
    } catch (error) {
      close();
      throw error;
    }
    const [track] = stream.getAudioTracks();
    const gone = () => { if (stream) lost(); };
    for (const name of ["ended", "mute"]) track.addEventListener(name, gone);
    // A call, or another program, holds the clock by which a check goes on.
    context.addEventListener("statechange", () => { if (context.state !== "running") gone(); });
    const source = context.createMediaStreamSource(stream);
    const hiss = hissOf(context);

    function sound(node, at, loudness) {
      const gain = context.createGain();
      gain.gain.value = loudness;
      node.connect(gain).connect(context.destination);
      node.start(at);
    }

    return {
      context,
      close,
      /* Whether the phone filters what it hears, though asked not to. */
      isFiltered: () => {
        const now = track.getSettings();
        return Object.keys(PLAIN).some((name) => now[name] === true);
      },
      /* Begins to listen; `take(asked)` gives what was heard and ends it. */
      hear() {
        const node = new world.AudioWorkletNode(context, "listening");
        node.addEventListener("processorerror", gone);
        source.connect(node).connect(context.destination); // which gets silence
        const answer = new Promise((done) => { node.port.onmessage = ({ data }) => done(data); });
        return {
          began: context.currentTime,
          async take({ from, to, bursts }) {
            node.port.postMessage({ from, to, bursts });
            const told = await answer;
            node.disconnect();
            return told;
          },
        };
      },
      hisses(pairs) {
        for (const pair of pairs) {
          pair.forEach((at, number) => {
            sound(new world.AudioBufferSourceNode(context, { buffer: hiss }), at, number ? SOFTER : 1);
          });
        }
      },
      /* Short tones, as many as the part's number: for who can't see the screen. */
      tones(count) {
        for (let n = 0; n < count; n += 1) {
          const at = context.currentTime + 0.05 + n * 0.3;
          const tone = new world.OscillatorNode(context, { frequency: 660 });
          sound(tone, at, 0.5);
          tone.stop(at + 0.15);
        }
      },
    };
  }

  parts.microphone = { canListen, openMicrophone };
})(typeof self === "undefined" ? globalThis : self);
