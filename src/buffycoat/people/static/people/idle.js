// A sign-in ends when nothing is done. Before that a strip says so, and any key or touch goes on; afterwards the page
// waits behind a lock, as it was typed, for its own person. The server decides: another page may have gone on.

const strip = document.querySelector("[data-idle]");
const lock = document.querySelector("[data-lock]");
const left = strip.querySelector("[data-left]");
const { door, again, person, badge } = strip.dataset;
const ALLOWED_MS = Number(strip.dataset.idle) * 1000;
const WARN_MS = Math.min(60_000, ALLOWED_MS / 2);
const TELL_MS = Math.min(30_000, ALLOWED_MS / 8); // so often the server hears that somebody is there
const tokens = () => document.querySelectorAll("input[name=csrfmiddlewaretoken]");
let ends = Date.now() + ALLOWED_MS;
let told = Date.now();
let asking = false;

async function ask(method) {
  if (asking && method === "GET") return;
  asking = true;
  const headers = { "X-CSRFToken": tokens()[0].value };
  const answer = await fetch(door, { method, headers, cache: "no-store" }).then((a) => (a.ok ? a.json() : null)).catch(() => null);
  asking = false;
  if (!answer) return; // no server: another strip says so
  ends = Date.now() + answer.left_s * 1000;
  if (answer.left_s <= 0) shut(fetch(again, { cache: "no-store" }));
}

async function tick() {
  if (lock.open) return;
  if (ends - Date.now() <= (strip.hidden ? WARN_MS : 0)) await ask("GET");
  const ms = ends - Date.now();
  strip.hidden = lock.open || ms > WARN_MS;
  left.textContent = `In ${Math.max(1, Math.ceil(ms / 1000))} s.`;
}

function alive(event) {
  if (event.type === "pointerdown" && strip.contains(event.target)) return; // it goes on the release, like every button
  if (lock.open || (strip.hidden && Date.now() - told < TELL_MS)) return;
  told = Date.now();
  strip.hidden = true;
  ask("POST");
}

const isDone = (answer) => answer.headers.get("Content-Type").includes("json");

async function shut(request) {
  const answer = await request.catch(() => null);
  if (!answer) return;
  if (isDone(answer)) return open(await answer.json());
  if (answer.status === 410) return location.reload(); // signed out for good: the server leads to the sign-in
  if (answer.status === 403) return shut(fetch(again, { cache: "no-store" })); // its token was of an earlier sign-in
  if (!answer.ok && answer.status !== 422) return;
  strip.hidden = true;
  lock.innerHTML = await answer.text();
  renew(lock.querySelector("[name=csrfmiddlewaretoken]").value);
  if (!lock.open) lock.showModal();
  lock.querySelector("[autofocus]")?.focus();
}

function renew(token) {
  for (const input of tokens()) input.value = token;
  for (const panel of document.querySelectorAll("[data-token]")) panel.dataset.token = token;
}

function open(answer) {
  if (answer.person !== person) return location.reload(); // what was typed was not theirs
  renew(answer.token);
  ends = Date.now() + answer.left_s * 1000;
  lock.close();
  lock.replaceChildren();
}

lock.addEventListener("cancel", (event) => event.preventDefault());
lock.addEventListener("submit", (event) => {
  event.preventDefault();
  shut(fetch(again, { method: "POST", body: new FormData(event.target) }));
});
// A scale that sends by itself waits as well.
addEventListener("submit", (event) => {
  if (lock.open && !lock.contains(event.target)) event.preventDefault();
}, true);
addEventListener("focus", async () => {
  const answer = lock.open && (await fetch(again, { cache: "no-store" }).catch(() => null));
  if (answer && isDone(answer)) open(await answer.json()); // another page was unlocked
});
document.addEventListener("buffycoat:badge", (event) => {
  if (!lock.open || Number(event.detail.slice(5, 12)) !== Number(badge)) return;
  event.preventDefault();
  lock.querySelector("input:not([type=hidden])").focus();
});
strip.querySelector("button").addEventListener("click", alive);
for (const sign of ["pointerdown", "keydown", "wheel", "buffycoat:sign"]) addEventListener(sign, alive, { capture: true, passive: true });
setInterval(tick, 1000);
