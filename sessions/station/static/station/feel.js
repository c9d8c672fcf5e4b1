// What the hand and the ear get while the eye is on the athlete: a buzz and a tick when a tap is safe on the tablet, a
// second tick when it is safe on the server. The screen stays awake meanwhile.

const SILENT = "sixmark-silent";
const TICK = { tablet: { hertz: 1400, buzz: 25 }, server: { hertz: 900, buzz: 0 }, refused: { hertz: 220, buzz: [60, 40, 60] } };
const TICK_S = 0.045;

let sound = null;

export function isSilent() {
  return localStorage.getItem(SILENT) === "1";
}

export function setSilent(silent) {
  localStorage.setItem(SILENT, silent ? "1" : "0");
}

export function feel(what) {
  if (isSilent()) return;
  const { hertz, buzz } = TICK[what];
  if (buzz && navigator.vibrate && navigator.userActivation?.hasBeenActive) navigator.vibrate(buzz);
  tick(hertz);
}

// A browser lets no page sound before its first touch.
function tick(hertz) {
  if (!navigator.userActivation?.hasBeenActive || !window.AudioContext) return;
  sound ||= new AudioContext();
  const [tone, volume] = [sound.createOscillator(), sound.createGain()];
  tone.frequency.value = hertz;
  volume.gain.setValueAtTime(0.15, sound.currentTime);
  volume.gain.exponentialRampToValueAtTime(0.001, sound.currentTime + TICK_S);
  tone.connect(volume).connect(sound.destination);
  tone.start();
  tone.stop(sound.currentTime + TICK_S);
}

export function stayAwake() {
  const ask = () => document.hidden || navigator.wakeLock?.request("screen").catch(() => {});
  document.addEventListener("visibilitychange", ask);
  ask();
}
