// Hears the scanner, wherever the cursor stands. A scan is a burst of keys that ends with Enter; what marks it is a
// prefix (F9 or STX), a symbology identifier (]C0 …), or keys that come faster than a hand can type.

const BURST_MS = 35; // between two keys of a scanner, on the average
const PAUSE_MS = 120; // a busy tablet may hold one key up that long within a burst
const MARKED_MS = 1500; // where a mark says that it is a scan: a busy machine may hold its keys up that long
const AGAIN_MS = 2000;
const CLASH_MS = 300;
const LEAST = 6;
const IDENTIFIER = /^\][A-Za-z]\d/;
const OURS = /^\](C0|d1)/; // Code 128 and Data Matrix as we print them; GS1 and others are a maker's
const CODE = /^[A-Z]{5}\d{9}$/;

const { commands, nouns } = JSON.parse(document.documentElement.dataset.cards ?? '{"commands":{},"nouns":{}}');
const strip = document.querySelector("[data-scan-strip]");
let keys = []; // {key, at, field, before}
let markedAt = 0; // when a prefix came; 0: none
let last = { code: "", at: -Infinity };
let waiting = 0;

addEventListener("keydown", (event) => {
  const at = event.timeStamp;
  if ((event.ctrlKey && event.key.toLowerCase() === "b") || event.key === "F9" || event.key === "\u0002") {
    swallow(event);
    keys = [];
    markedAt = at;
    return;
  }
  if (event.repeat) return forget(); // a finger resting on a key
  const allowed = markedAt || keys[0]?.key === "]" ? MARKED_MS : PAUSE_MS;
  if (at - (keys.at(-1)?.at ?? markedAt) > allowed) forget();
  if (event.key === "Enter" || event.key === "Tab") return end(event);
  if (event.key.length !== 1 || event.ctrlKey || event.altKey || event.metaKey) return;
  const field = event.target.closest?.("input, textarea");
  keys.push({ key: event.key, at, field, before: field?.value });
  if (markedAt) swallow(event);
}, true);

function swallow(event) {
  event.preventDefault();
  event.stopImmediatePropagation();
}

function forget() {
  keys = [];
  markedAt = 0;
}

function end(event) {
  const text = keys.map((k) => k.key).join("");
  const fast = keys.length >= LEAST && event.timeStamp - keys[0].at <= BURST_MS * keys.length;
  if (!keys.length || !(markedAt || fast || IDENTIFIER.test(text))) return forget();
  swallow(event);
  const { field, before } = keys[0];
  if (field && !markedAt) field.value = before; // a scan never lands in a text field
  forget();
  if (IDENTIFIER.test(text) && !OURS.test(text)) return sign("wrong", "That is a maker's code, not one of ours. Scan our own label.");
  heard(text.replace(IDENTIFIER, "").replace(/[\s-]/g, "").toUpperCase());
}

function heard(code) {
  const now = performance.now();
  const since = now - last.at;
  if (code === last.code && since < AGAIN_MS) return;
  const clash = last.code && code !== last.code && since < CLASH_MS;
  const other = last.code;
  last = { code, at: now };
  clearTimeout(waiting);
  if (clash) {
    last = { code: "", at: -Infinity };
    return sign("stop", `Two codes at once: ${shown(other)} and ${shown(code)}. Neither was used. Scan one again.`);
  }
  const badge = code[0] === "H" && CODE.test(code);
  if (!badge && document.querySelector("[data-lock][open]")) return sign("wrong", "This page is locked: scan your badge, or type your PIN.");
  if (commands[code]) return later(() => document.dispatchEvent(new CustomEvent("buffycoat:command", { detail: commands[code] })), code);
  if (badge) return later(() => goesOn(code), code);
  const bags = document.querySelector("[data-bags]")?.dataset.bags.split(" ");
  if (bags && isSticker(code) && code.slice(1, 12) === bags[0].slice(1, 12)) return isItTheBag(code, bags);
  const fields = [...document.querySelectorAll("form[data-scan] [data-scan-field]")];
  const field = fields.find((f) => !f.value) ?? fields[0];
  const kinds = (field?.dataset.kinds ?? "").split(" ").filter(Boolean);
  const wrong = kinds.length && whyNot(code, kinds, field.dataset.noun);
  if (wrong) return sign("wrong", wrong);
  later(() => use(code, field), code);
}

// The server decides again; here it is said at once, and what stands on the page stays.
function whyNot(code, kinds, wanted = kinds.map((kind) => nouns[kind]).join(" or the ")) {
  if (!CODE.test(code)) return `That is not a code of ours (${code.slice(0, 20)}). Scan the ${wanted}.`;
  const figures = [...code].map((letter) => parseInt(letter, 36)).join("");
  if (BigInt(figures) % 97n !== 1n) return "The code was misread: its last two figures do not fit. Scan it again.";
  return kinds.includes(code[0]) ? "" : `That is a ${nouns[code[0]] ?? "thing unknown here"}. Scan the ${wanted}.`;
}

// A sticker of the donation in hand says whether this is a bag of the step; it sends nothing. Another donation's leads there.
const isSticker = (code) => code[0] === "G" || nouns[code[0]]?.includes("sticker");

function isItTheBag(code, bags) {
  const wrong = whyNot(code, bags.map((bag) => bag[0]));
  sign(wrong ? "wrong" : "accepted", wrong || `Right: the ${nouns[code[0]]} of this donation.`);
}

// Time for a second, clashing code to come in.
function later(act, code) {
  sign("accepted", `Scanned … ${ending(code)}`);
  waiting = setTimeout(act, CLASH_MS);
}

// A badge: another person goes on here, on the page that stands open.
function goesOn(code) {
  if (!document.dispatchEvent(new CustomEvent("buffycoat:badge", { detail: code, cancelable: true }))) return;
  location.assign(`/sign-in/badge/?code=${code}&next=${encodeURIComponent(location.pathname + location.search)}`);
}

function use(code, field) {
  if (!field) {
    location.assign(`${document.documentElement.dataset.scanDoor}?code=${encodeURIComponent(code)}`);
    return;
  }
  field.value = code;
  const open = [...field.form.querySelectorAll("[data-scan-field]")].find((f) => f.required && !f.value);
  if (!open) field.form.requestSubmit();
}

// The four figures a person looks at: the end of the serial.
const ending = (code) => (CODE.test(code) ? code.slice(8, 12) : code.slice(-4));
const shown = (code) => (CODE.test(code) ? `${code.slice(0, 5)}-${code.slice(5, 12)}-${code.slice(12)}` : code);

// Word, shape (by the strip's class) and sound, always together.
function sign(kind, words) {
  sound(kind);
  if (!strip) return;
  strip.textContent = words;
  strip.className = `scan-strip ${kind}`;
}

const TONES = { accepted: [[1320, 0.09]], wrong: [[330, 0.12], [262, 0.16]], stop: [[165, 0.6]] };
let audio;

function sound(name) {
  if (document.documentElement.dataset.sounds === "off" || !window.AudioContext) return;
  audio ??= new AudioContext();
  let start = audio.currentTime;
  for (const [pitch, long] of TONES[name]) {
    const tone = audio.createOscillator();
    const level = audio.createGain();
    tone.frequency.value = pitch;
    level.gain.setValueAtTime(0.15, start);
    level.gain.exponentialRampToValueAtTime(0.001, start + long);
    tone.connect(level).connect(audio.destination);
    tone.start(start);
    tone.stop(start + long);
    start += long + 0.04;
  }
}

document.addEventListener("buffycoat:sound", (event) => sound(event.detail));
document.addEventListener("buffycoat:sign", (event) => sign(event.detail.kind, event.detail.words));
if (document.querySelector("[data-page-sound]")) sound(document.querySelector("[data-page-sound]").dataset.pageSound);
