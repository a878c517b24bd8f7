// The live weight of this bench. It is asked for ten times a second with answers of a few bytes; what stands still is
// written into the field with the server's mark of where it came from. Inside the window, on a page that allows it, it
// is taken without a touch. Typing into the field always wins.

import { allow, follow, silent } from "./tone.js";

const EVERY_MS = 100;
const LOST_MS = 2000;
const panel = document.querySelector("[data-scale]");
const form = document.getElementById("answer");
const field = form?.elements[panel?.dataset.field];
const reading = form?.querySelector("[data-reading]");
const part = (name) => panel.querySelector(`[data-scale-${name}]`);
const number = (name) => Number(panel.dataset[name]);
const spoken = (g) => `${g}\u00a0g`;

let seen = "", shown = {}, filled = "", typed = Boolean(panel) && givenBefore() && !reading?.value;
let armed = false, insideSince = 0, sent = false, answeredAt = performance.now(), bag = null;

// A refused form, or a step that is asked again as it was written.
function givenBefore() {
  return "typed" in panel.dataset || new URLSearchParams(location.search).has(panel.dataset.field);
}

const least = () => number("least"), most = () => number("most");
const stops = () => panel.dataset.stop !== undefined;
const bagIn = () => form.elements.with_bag?.checked ? number("empty") : 0;

async function ask() {
  const answer = await fetch(`${panel.dataset.scale}?seen=${seen}`, { cache: "no-store", redirect: "error" }).catch(() => null);
  if (answer?.ok) {
    answeredAt = performance.now();
    if (answer.status === 200) {
      shown = await answer.json().catch(() => ({ state: "lost" }));
      seen = shown.seen ?? "";
      look();
    }
  } else if (performance.now() - answeredAt > LOST_MS && shown.state !== "lost") {
    seen = "";
    shown = { state: "lost", words: "The server is not answering: this is no weight of now." };
    look();
  }
  wait();
  setTimeout(ask, document.hidden ? 1000 : EVERY_MS);
}

function look() {
  const weighs = shown.state === "weighing";
  // A weight that lay there when the page came may be the last bag: something must have moved before one is taken.
  if (weighs && (!shown.still || shown.g < least() || shown.g > most())) armed = true;
  part("number").textContent = weighs ? String(shown.g).replace("-", "−") : "–";
  part("mark").textContent = !weighs ? "✕" : shown.still ? "●" : "○";
  if (weighs && bag === null && shown.still) guessBag();
  draw(weighs ? shown.g : null);
  fill();
  tell();
}

// On nought with the empty bag, or with the bag's own mass: the first still weight of an empty bag tells which.
function guessBag() {
  bag = shown.g;
  const tick = form.elements.with_bag, empty = number("empty");
  if (tick && !typed && !shown.net && Math.abs(bag - empty) <= Math.max(3, empty / 4) && !field.value) tick.checked = true;
}

function draw(g) {
  const at = g === null ? 0 : Math.min(100, Math.max(0, (100 * (g - number("from"))) / number("span")));
  const bar = part("bar");
  if (!stops()) bar.setAttribute("x", Math.max(0, at - 0.4));
  bar.setAttribute("width", g === null ? 0 : stops() ? at : 0.8);
  if (!stops()) return;
  const stop = number("stop") + bagIn();
  part("stop").textContent = stop;
  part("stop-bar").setAttribute("x", Math.min(99.4, (100 * stop) / number("span")));
  follow(g === null ? null : stop - g, number("toneFrom"), number("tone"));
  const hint = panel.querySelector("[data-tone-hint]");
  if (hint) hint.hidden = !silent();
}

// Only what stands still, and only while nobody types.
function fill() {
  if (!field || sent) return;
  if (filled && field.value !== filled) typed = Boolean(field.value); // by an answer card
  const weighs = shown.state === "weighing";
  if (typed || (!weighs && !filled)) return;
  const take = weighs && shown.still && shown.g > 0;
  filled = take ? String(shown.g) : "";
  field.value = filled;
  reading.value = take ? shown.reading : "";
}

function state() {
  if (shown.state !== "weighing") return [shown.state ?? "waiting", shown.words];
  if (stops()) return toStop(number("stop") + bagIn() - shown.g);
  const inside = shown.g >= least() && shown.g <= most();
  const asks = `${least()} to ${spoken(most())}`;
  if (typed) return ["typed", "Typed by hand: the number in the field counts."];
  if (shown.g <= Math.min(5, least() / 2)) return ["empty", `Lay it on the scale. Expected here: ${asks}.`];
  if (!shown.still) return ["moving", "Wait until it stands still."];
  if (inside && panel.dataset.auto && !armed) return ["inside", "Inside the window. It lay there before: press the button, or lift it and lay it down again."];
  if (inside) return ["inside", panel.dataset.auto ? "Inside the window: taken as soon as it has stood still." : "Inside the window: press the button."];
  const off = shown.g < least() ? `${spoken(least() - shown.g)} under` : `${spoken(shown.g - most())} over`;
  return ["outside", `${off} what is expected (${asks}). Lay it down afresh, free of tubing and hands. If it is right, press the button.`];
}

function toStop(left) {
  if (left <= 0) return ["stop", "Stop now: clamp."];
  return left <= number("toneFrom") ? ["near", "Nearly there: a hand on the clamp."] : ["flowing", "Not there yet."];
}

// Words change with the state, not with each gram: a screen reader is told at thresholds only.
function tell() {
  if (sent) return;
  const [now, words] = state();
  panel.dataset.state = now;
  const line = part("words");
  if (line.textContent !== words) line.textContent = words;
}

function wait() {
  const weighs = shown.state === "weighing";
  const inside = weighs && shown.still && shown.g >= least() && shown.g <= most();
  if (!inside) insideSince = 0;
  else insideSince ||= performance.now();
  if (!panel.dataset.auto || sent || typed || !armed || !inside || !reading?.value) return;
  if (performance.now() - insideSince < number("auto")) return;
  sent = true;
  panel.dataset.state = "taken";
  part("words").textContent = `Taken: ${spoken(shown.g)}.`;
  document.dispatchEvent(new CustomEvent("buffycoat:sound", { detail: "accepted" }));
  form.requestSubmit();
}

if (panel) {
  field?.addEventListener("input", () => {
    typed = Boolean(field.value);
    if (reading) reading.value = "";
    filled = "";
    tell();
  });
  form?.addEventListener("submit", (event) => {
    if (typed || sent || filled || shown.state !== "weighing") return;
    event.preventDefault();
    const words = shown.still ? "Nothing lies on the scale. Lay it on, or type the weight." : "Wait until the number stands still, or type the weight.";
    document.dispatchEvent(new CustomEvent("buffycoat:sign", { detail: { kind: "wrong", words } }));
  });
  form?.elements.with_bag?.addEventListener("change", () => look());
  for (const gesture of ["keydown", "pointerdown"]) addEventListener(gesture, () => allow().then(() => look()), { once: true });
  panel.querySelector("[data-invented]")?.addEventListener("click", ({ target }) => {
    const { act, g } = target.dataset;
    if (!act) return;
    const said = new URLSearchParams({ act, g: g ?? "", csrfmiddlewaretoken: panel.dataset.token });
    fetch(target.closest("[data-invented]").dataset.invented, { method: "POST", body: said });
  });
  ask();
}
