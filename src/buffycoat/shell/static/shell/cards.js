// Command cards: what a gloved hand would press, done by a scan. A card never presses what must be decided by hand.

const main = () => document.querySelector("[data-main]");
const click = (found) => (found ? (found.click(), true) : false);

const acts = {
  next() {
    if (!main()) return "There is nothing to go on with here: scan a bag, a donor or a place.";
    if (main().dataset.byHand !== undefined) return "This must be decided by hand, not by a card.";
    main().click();
  },
  back() {
    if (!click(document.querySelector("[data-back]"))) history.back();
  },
  print() {
    if (!click(document.querySelector("[data-print]"))) return "There is nothing to print on this page.";
  },
  hold() {
    location.assign("/");
  },
  problem() {
    if (!click(document.querySelector("[data-problem]"))) return "Nothing is in hand: scan the bag first.";
  },
  undo() {
    if (!click(document.querySelector("[data-undo]"))) return "There is nothing to take back here.";
  },
};

// Tiles are picked by their place; where there are none, the figure is typed into the first number, else what is looked
// at is ticked. A tick is never taken off by a card: the same card scanned twice says the same.
function answer(figure) {
  const groups = [...document.querySelectorAll("#answer .tile-row")].filter((row) => row.querySelector("input[type=radio]"));
  if (groups.length) {
    const open = groups.find((row) => !row.querySelector("input:checked")) ?? groups[0];
    const tile = open.querySelectorAll("input[type=radio]")[(figure + 9) % 10]; // 0 is the tenth
    if (!tile) return `There is no answer ${figure} here.`;
    tile.click();
    return { words: `Answer ${figure}: ${tile.closest(".tile").querySelector(".tile-word").textContent}` };
  }
  const field = document.querySelector("#answer input[inputmode=numeric], #answer input[inputmode=decimal]");
  if (!field) return tick(figure);
  field.value += figure;
  return { words: `Typed ${field.value}` };
}

function tick(figure) {
  const box = document.querySelectorAll("#answer .tick input[type=checkbox]")[figure - 1];
  if (!box) return `There is no answer ${figure} here.`;
  if (!box.checked) box.click();
  return { words: `Answer ${figure}: ${box.closest(".tile").querySelector(".tile-word").textContent}` };
}

document.addEventListener("buffycoat:command", (event) => {
  const [command, figure] = event.detail.split("-");
  const said = command === "answer" ? answer(Number(figure)) : acts[command]();
  const sign = said === undefined ? null : said.words ? { kind: "accepted", words: said.words } : { kind: "wrong", words: said };
  if (sign) document.dispatchEvent(new CustomEvent("buffycoat:sign", { detail: sign }));
});
