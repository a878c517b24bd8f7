// The bar that is made as wide as a bank card, the test scan, and the live weight of this bench.

const CARD_MM = 85.6;
const LISTENS_MS = 20_000;
const AT_REST_MS = 700; // a scanner that sends no Enter has ended by then
const find = (selector) => document.querySelector(selector);

// ---- the bar
const bar = find("[data-bar]"), size = find("[name=px_per_100_mm]");

function widen(px) {
  const width = Math.min(1700, Math.max(90, Number(bar.getAttribute("width")) + px));
  bar.setAttribute("width", width);
  size.value = Math.round((100 * width) / CARD_MM);
  find("[data-bar-words]").textContent = `${width} px wide: ${(width / CARD_MM).toFixed(2)} px to the millimetre. Save to keep it.`;
}

if (bar && size) {
  find("[data-card-bar]").hidden = false;
  if (Number(size.value)) bar.setAttribute("width", Math.round((size.value * CARD_MM) / 100));
  for (const button of document.querySelectorAll("[data-step]")) button.addEventListener("click", () => widen(Number(button.dataset.step)));
  addEventListener("keydown", (event) => {
    if (event.target.closest("input, textarea, select") || event.ctrlKey || event.metaKey) return;
    if (["+", "*", "="].includes(event.key)) widen(event.shiftKey && event.key !== "+" || event.key === "*" ? 20 : 1);
    if (["-", "_", "−"].includes(event.key)) widen(event.shiftKey ? -20 : -1);
  });
}

// ---- the test scan: while it listens, the page's own scanner hears nothing
const listen = find("[data-listen]"), told = find("[data-heard]");
let heard = null, rest = 0, end = 0;

function say(lines) {
  const list = document.createElement("ul");
  for (const [kind, words] of lines) {
    const line = document.createElement("li");
    line.className = kind;
    line.textContent = words;
    list.append(line);
  }
  told.replaceChildren(list);
}

listen?.addEventListener("click", () => {
  heard = { text: "", prefix: false, alt: false };
  listen.blur();
  say([["", "Listening: scan the card now."]]);
  clearTimeout(end);
  end = setTimeout(() => heard && !heard.text && (heard = null, say([["bad", "Nothing was heard. Is the scanner on and joined to this device? Press the button and scan again."]])), LISTENS_MS);
});

addEventListener("keydown", (event) => {
  if (!heard) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  if (event.key === "F9" || event.key === "\u0002" || (event.ctrlKey && event.key.toLowerCase() === "b")) heard.prefix = true;
  else if (event.altKey) heard.alt = true;
  else if (event.key === "Enter" || event.key === "Tab") return tellOf();
  else if (event.key.length === 1) heard.text += event.key;
  clearTimeout(rest);
  rest = setTimeout(tellOf, AT_REST_MS);
}, true);

async function tellOf() {
  clearTimeout(rest);
  clearTimeout(end);
  const { text, prefix, alt } = heard ?? {};
  heard = null;
  if (!text && !alt) return;
  const asked = new URLSearchParams({ text, prefix: prefix ? "1" : "", alt: alt ? "1" : "" });
  const answer = await fetch(`${listen.dataset.listen}?${asked}`).then((a) => a.json()).catch(() => null);
  if (!answer) return say([["bad", "The server is not answering. Try again."]]);
  if (answer.known) find("[name=scanner]").value = answer.known;
  say([
    ...answer.wrong.map((words) => ["bad", words]),
    ...(answer.known ? [["good", `Every character arrived: ${answer.known}. Save to keep it.`]] : []),
    ...answer.advice.map((words) => ["", words]),
  ]);
}

// ---- the live weight
const look = find("[data-look]");
let seen = "";

async function weigh() {
  const answer = await fetch(`${look.dataset.look}?seen=${seen}`, { cache: "no-store" }).catch(() => null);
  if (answer?.status === 200) {
    const shown = await answer.json();
    seen = shown.seen;
    const weighs = shown.state === "weighing";
    look.dataset.state = shown.state;
    find("[data-look-number]").textContent = weighs ? shown.text || shown.g : "–";
    find("[data-look-mark]").textContent = !weighs ? "✕" : shown.still ? "●" : "○";
    find("[data-look-words]").textContent = weighs ? (shown.still ? "It stands still." : "It moves.") : shown.words;
  } else if (!answer) {
    seen = "";
    find("[data-look-number]").textContent = "–";
    find("[data-look-words]").textContent = "The server is not answering.";
  }
  setTimeout(weigh, document.hidden ? 2000 : 100);
}

if (look) weigh();
