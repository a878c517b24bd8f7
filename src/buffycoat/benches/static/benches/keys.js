// A scale that types like a keyboard: digits, unit and Enter, faster than a hand. It is loaded before the scanner's
// listener, which would take such a burst for a code. The number goes into the weight's field, marked as the scale's.

const BURST_MS = 40;
const PAUSE_MS = 150;
const LINE = /^.{0,10}?[+-]?\s*\d+(?:[.,]\d+)?\s*[A-Za-z]{1,3}\s*[A-Z?]{0,2}$/;
let keys = [];

addEventListener("keydown", (event) => {
  const words = document.querySelector("[data-keys-field]");
  if (!words) return;
  if (event.timeStamp - (keys.at(-1)?.at ?? 0) > PAUSE_MS) keys = [];
  if (event.key !== "Enter") {
    const field = event.target.closest?.("input, textarea");
    if (event.key.length === 1 && !event.ctrlKey) keys.push({ key: event.key, at: event.timeStamp, field, before: field?.value });
    return;
  }
  const line = keys.map((each) => each.key).join("");
  const fast = keys.length > 2 && event.timeStamp - keys[0].at <= BURST_MS * keys.length;
  if (!fast || !LINE.test(line)) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  const { field, before } = keys[0];
  keys = [];
  if (field) field.value = before;
  take(line, words);
}, true);

function take(line, words) {
  const [, amount, unit] = /(\d+(?:[.,]\d+)?)\s*([A-Za-z]{1,3})/.exec(line);
  const grams = { g: 1, kg: 1000, mg: 0.001 }[unit.toLowerCase()];
  const form = document.getElementById("answer");
  if (!grams) return sign("wrong", `The scale types ${unit}. Set the scale to g.`);
  const g = Math.round(Number(amount.replace(",", ".")) * grams);
  form.elements[words.dataset.keysField].value = g;
  form.querySelector("[data-reading]").value = `keys:${line}`;
  sign("accepted", `The scale typed ${g}\u00a0g. Press the button to take it.`);
}

function sign(kind, words) {
  document.dispatchEvent(new CustomEvent("buffycoat:sign", { detail: { kind, words } }));
}
