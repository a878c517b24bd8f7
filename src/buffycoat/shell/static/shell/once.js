// A form goes out once: what is pressed while it is on its way is ignored. And a strip says when the server is gone.

const ANSWER_MS = 8000;
const onTheWay = new WeakSet();

document.addEventListener("submit", (event) => {
  if (event.target.method !== "post" || event.defaultPrevented) return;
  if (onTheWay.has(event.target)) event.preventDefault();
  else onTheWay.add(event.target);
  setTimeout(() => onTheWay.delete(event.target), ANSWER_MS); // a file that is sent back leaves the page standing
});

// A page brought back from the browser's memory may be sent again; the server knows its command by its id.
window.addEventListener("pageshow", (event) => {
  if (event.persisted) for (const form of document.forms) onTheWay.delete(form);
});

const strip = document.querySelector("[data-not-connected]");
const sign = document.querySelector("link[rel=icon]")?.href;

async function ask() {
  if (document.hidden) return;
  const answer = await fetch(sign, { method: "HEAD", cache: "no-store" }).catch(() => null);
  strip.hidden = Boolean(answer);
}

if (strip && sign) setInterval(ask, 20_000);
