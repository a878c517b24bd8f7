// Looked for in a page as it stands; each gives what is wrong, in words. Read by looking.py.
({
  seen: (e) => e.checkVisibility({ visibilityProperty: true }) && e.getClientRects().length > 0 && !e.closest(".hidden, .skip"),

  named: (e) => `${e.tagName.toLowerCase()}.${e.className.baseVal ?? e.className} ${e.textContent.trim().slice(0, 40)}`,

  scrolls(e) {
    for (let up = e; up && up !== document.body; up = up.parentElement)
      if (["auto", "scroll"].includes(getComputedStyle(up).overflowX)) return true;
    return false;
  },

  cut() {
    const clips = (way) => ["hidden", "clip"].includes(way);
    return [...document.body.querySelectorAll("*")].filter((e) => this.seen(e) && !e.parentElement.closest("svg")).flatMap((e) => {
      const box = e.getBoundingClientRect(), style = getComputedStyle(e);
      const outside = (box.right > innerWidth + 1 || box.left < -1) && !this.scrolls(e);
      const words = [...e.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.data.trim());
      const hides = (clips(style.overflowX) && e.scrollWidth > e.clientWidth + 1)
        || (clips(style.overflowY) && e.scrollHeight > e.clientHeight + 1);
      return [...(outside ? [`outside: ${this.named(e)}`] : []), ...(words && hides ? [`cut: ${this.named(e)}`] : [])];
    });
  },

  rgba(text) {
    const parts = text.match(/[\d.]+/g)?.map(Number);
    return parts && { light: this.light(parts), solid: (parts[3] ?? 1) > 0.5 };
  },

  // Relative luminance and contrast as WCAG 2.2 defines them.
  light(rgb) {
    const [r, g, b] = rgb.map((value) => value / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  },

  contrast: (a, b) => (Math.max(a.light, b.light) + 0.05) / (Math.min(a.light, b.light) + 0.05),

  behind(e) {
    for (let up = e; up; up = up.parentElement) {
      const colour = this.rgba(getComputedStyle(up).backgroundColor);
      if (colour.solid) return colour;
    }
    return { light: 1, solid: true };
  },

  // The last shape drawn under the middle of a text of a picture, else what is behind the picture.
  under(text) {
    const { x, y, width, height } = text.getBoundingClientRect(), across = x + width / 2, down = y + height / 2;
    const shapes = [...text.ownerSVGElement.querySelectorAll("rect, path, circle, polygon, ellipse")].filter((shape) => {
      const box = shape.getBoundingClientRect();
      const holds = box.left <= across && box.right >= across && box.top <= down && box.bottom >= down;
      const before = shape.compareDocumentPosition(text) & Node.DOCUMENT_POSITION_FOLLOWING;
      return holds && before && this.rgba(getComputedStyle(shape).fill)?.solid;
    });
    return shapes.length ? this.rgba(getComputedStyle(shapes.at(-1)).fill) : this.behind(text.ownerSVGElement);
  },

  unreadable(least) {
    const found = [], texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let text; (text = texts.nextNode());) {
      const e = text.parentElement;
      if (!text.data.trim() || e.closest("svg, option, script, template") || !this.seen(e)) continue;
      if (this.contrast(this.rgba(getComputedStyle(e).color), this.behind(e)) < least) found.push(text.data);
    }
    for (const text of document.querySelectorAll("svg text")) {
      if (!this.seen(text) || !text.textContent.trim()) continue;
      if (this.contrast(this.rgba(getComputedStyle(text).fill), this.under(text)) < least) found.push(text.textContent);
    }
    return found.map((words) => `unreadable: ${words.trim().slice(0, 40)}`);
  },

  withoutEdge() {
    const edged = ".chip, .main-button, .second-button, .tile, .caution, .problems, select, input:not([type=radio], [type=checkbox])";
    const bare = (style) => style.borderTopStyle === "none" || parseFloat(style.borderTopWidth) < 1;
    return [...document.querySelectorAll(edged)].filter((e) => this.seen(e) && bare(getComputedStyle(e)))
      .map((e) => `without an edge: ${this.named(e)}`);
  },

  // The first of each kind that can be reached by keyboard.
  withoutFocus() {
    const kinds = ["a[href]", "button", "summary", "select", "main input:not([type=radio], [type=checkbox], [type=hidden])"];
    const before = document.activeElement;
    const firsts = kinds.map((kind) => [...document.querySelectorAll(kind)].find((e) => e.checkVisibility({ visibilityProperty: true })));
    const unseen = firsts.filter((e) => e).filter((e) => {
      e.focus({ focusVisible: true });
      const { outlineStyle, outlineWidth } = getComputedStyle(e);
      return document.activeElement !== e || outlineStyle === "none" || parseFloat(outlineWidth) < 2;
    });
    before?.focus?.();
    return unseen.map((e) => `focus not seen: ${this.named(e)}`);
  },

  moving() {
    const lasts = (times) => times.split(",").some((time) => parseFloat(time) > 0);
    const moves = (style) => style.animationName !== "none" || lasts(style.transitionDuration) || style.scrollBehavior === "smooth";
    const parts = [null, "::before", "::after"];
    const able = [...document.querySelectorAll("*")].filter((e) => parts.some((part) => moves(getComputedStyle(e, part))));
    return [...able.map((e) => `moves: ${this.named(e)}`), ...document.getAnimations().map((each) => `runs: ${each.constructor.name}`)];
  },

  // Bytes over the wire since the page was opened, and its scripts as they are sent, even if they came from the cache.
  weight() {
    const all = [...performance.getEntriesByType("navigation"), ...performance.getEntriesByType("resource")];
    const sum = (of, size = "transferSize") => of.reduce((bytes, each) => bytes + each[size], 0);
    return {
      page: sum(all),
      scripts: sum(all.filter((each) => each.initiatorType === "script"), "encodedBodySize"),
    };
  },

  noteShifts() {
    window.shifted = [];
    const ofTheFoot = (node) => (node?.parentElement?.closest(".hand-rest") ?? node?.matches?.(".hand-rest"));
    new PerformanceObserver((list) => {
      for (const entry of list.getEntries())
        for (const { node } of entry.sources)
          if (ofTheFoot(node)) window.shifted.push(`${node.className} moved by ${entry.value.toFixed(4)}`);
    }).observe({ type: "layout-shift", buffered: true });
  },
})
