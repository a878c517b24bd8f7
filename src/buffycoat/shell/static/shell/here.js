// "You were here": after a minute without a touch, key or scan, or when another person goes on at this device, the
// server is asked what was done last, what is in hand and what comes next.

const IDLE_MS = 60_000;
const strip = document.querySelector("[data-you-were-here]");
const { youWereHere: door, person } = strip.dataset;
let waiting;

function rest() {
  clearTimeout(waiting);
  waiting = setTimeout(show, IDLE_MS);
}

async function show() {
  if (strip.firstChild) return;
  const page = encodeURIComponent(location.pathname + location.search);
  const answer = await fetch(`${door}?page=${page}`).catch(() => null);
  if (!answer?.ok || answer.redirected) return; // no server, or signed out meanwhile
  strip.innerHTML = await answer.text();
  document.dispatchEvent(new CustomEvent("buffycoat:new-times"));
}

function close() {
  strip.replaceChildren();
  rest();
}

strip.addEventListener("click", (event) => {
  if (!event.target.closest("[data-close]")) return;
  close();
  document.querySelector("main").focus();
});
addEventListener("keydown", (event) => {
  if (event.key === "Escape" && strip.firstChild) close();
});
for (const sign of ["pointerdown", "keydown", "wheel", "buffycoat:sign"]) addEventListener(sign, rest, { capture: true, passive: true });

// While the mass on a live scale changes, someone is at work with both hands.
const mass = document.querySelector("[data-scale-number]");
if (mass) new MutationObserver(rest).observe(mass, { childList: true, characterData: true, subtree: true });

const before = localStorage.getItem("person");
localStorage.setItem("person", person);
rest();
if (before && before !== person) show();
