// The stop tone: quickens as the stop mass nears, then holds. A browser gives no sound before a key or a touch.

let audio, next = 0, timer, held, state = { left: Infinity, from: 30, volume: 0 };

export const silent = () => !audio || audio.state !== "running";

export function allow() {
  if (!window.AudioContext) return Promise.resolve(false);
  audio ??= new AudioContext();
  return audio.resume().then(() => audio.state === "running");
}

// Between two beeps: a second where it begins, an eighth of one at the end.
export const gapOf = (left, from) => 0.125 + (0.875 * Math.min(Math.max(left, 0), from)) / from;

function beep(at, long) {
  const tone = audio.createOscillator();
  const gain = audio.createGain();
  tone.frequency.value = 880;
  gain.gain.setValueAtTime(state.volume / 250, at);
  gain.gain.setTargetAtTime(0, at + long, 0.01);
  tone.connect(gain).connect(audio.destination);
  tone.start(at);
  tone.stop(at + long + 0.1);
}

function tick() {
  if (silent() || audio.currentTime < next) return;
  beep(audio.currentTime, 0.06);
  next = audio.currentTime + gapOf(state.left, state.from);
}

function hold() {
  if (silent()) return;
  held = audio.createOscillator();
  const level = audio.createGain();
  held.frequency.value = 660;
  level.gain.value = state.volume / 250;
  held.connect(level).connect(audio.destination);
  held.start();
}

function release() {
  held?.stop();
  held = undefined;
}

// `left`: grams to the stop mass; null: nothing flows. `volume` in percent; 0: off.
export function follow(left, from, volume) {
  state = { left: left ?? Infinity, from, volume };
  const near = volume > 0 && state.left <= from;
  const stop = near && state.left <= 0;
  document.documentElement.dataset.toneNow = !near ? "none" : stop ? "held" : "beeps";
  if (stop && !held) hold();
  if (!stop) release();
  if (near && !stop) timer ??= setInterval(tick, 20);
  else timer = clearInterval(timer);
}
