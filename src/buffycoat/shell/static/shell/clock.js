// Counts down to due times on the server's clock. The server has already written the words: this keeps them true.

const skew = Date.parse(document.documentElement.dataset.now) - Date.now();

function inWords(seconds) {
  const two = (n) => String(n).padStart(2, "0");
  if (seconds < 60) return `${seconds}\u00a0s`;
  if (seconds < 3600) return `${Math.floor(seconds / 60)}\u00a0min`;
  if (seconds < 86400) return `${Math.floor(seconds / 3600)}\u00a0h ${two(Math.floor(seconds / 60) % 60)}\u00a0min`;
  return `${Math.floor(seconds / 86400)}\u00a0d ${Math.floor(seconds / 3600) % 24}\u00a0h`;
}

function state(left) {
  return left < 0 ? "late" : left < 600 ? "soon" : "running";
}

function tick() {
  for (const clock of document.querySelectorAll("[data-clock]")) {
    const due = Date.parse(clock.querySelector("[data-due]").dataset.due);
    const left = Math.trunc((due - Date.now() - skew) / 1000);
    const now = state(left);
    const words = left < 0 ? `${inWords(-left)} late` : `${inWords(left)} left`;
    const before = clock.dataset.state;
    clock.querySelector("[data-left]").textContent = words;
    if (before === now) continue;
    clock.className = `clock clock-${now}`;
    clock.dataset.state = now;
    if (before) tell(clock, now);
  }
}

function sinceThen() {
  for (const time of document.querySelectorAll("[data-since]")) {
    const seconds = Math.max(0, Math.trunc((Date.now() + skew - Date.parse(time.dataset.since)) / 1000));
    time.textContent = `${inWords(seconds)} ago`;
  }
}

// Heard and read out only when it becomes due soon or late, not each second.
function tell(clock, now) {
  const strip = document.querySelector("[data-scan-strip]");
  if (strip) strip.textContent = clock.textContent.replace(/\s+/g, " ").trim();
  document.dispatchEvent(new CustomEvent("buffycoat:sound", { detail: now === "late" ? "stop" : "accepted" }));
}

// A tablet that sleeps does not ring. The browser lets go whenever the page is hidden, and not every browser can.
function stayAwake() {
  if (!document.hidden) navigator.wakeLock?.request("screen").catch(() => null);
}

setInterval(sinceThen, 10_000);
document.addEventListener("buffycoat:new-times", sinceThen);

if (document.querySelector("[data-clock]")) {
  tick();
  setInterval(tick, 1000);
  stayAwake();
  document.addEventListener("visibilitychange", stayAwake);
}
