// A long list of blocks of different heights of which only those near the window are in the page.
// Heights are assumed first and taken from the page once a block was drawn; what was assumed wrongly
// above the window moves the window along, so that what is looked at stays where it is.
// A block that holds the focus stays, wherever it is scrolled to.

const OVERSCAN = 0.8; // of the window's height, drawn above and below it
const SETTLED_MS = 100; // without scrolling, until pictures are asked for that flew past

export class VirtualBlocks {
  // draw(block, index) returns an element; settled(elements) is called when scrolling rests.
  constructor(host, { draw, settled }) {
    this.host = host;
    this.draw = draw;
    this.settled = settled;
    this.blocks = [];
    this.heights = [];
    this.tops = [0];
    this.drawn = new Map(); // index: element
    this.waiting = 0;
    this.resting = 0;
    window.addEventListener("scroll", () => this.later(), { passive: true });
  }

  // Show other blocks, each with the height that is assumed for it.
  show(blocks) {
    for (const element of this.drawn.values()) element.remove();
    this.drawn.clear();
    this.host.replaceChildren();
    this.blocks = blocks;
    this.heights = blocks.map((block) => block.height);
    this.add();
    this.update();
    this.rest();
  }

  // Where each block begins.
  add() {
    this.tops = new Array(this.heights.length + 1);
    this.tops[0] = 0;
    for (let k = 0; k < this.heights.length; k += 1) this.tops[k + 1] = this.tops[k] + this.heights[k];
    this.host.style.height = `${this.tops[this.heights.length]}px`;
  }

  // Index of the block at a place in the list.
  at(place) {
    let low = 0;
    let high = this.blocks.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (this.tops[middle] <= place) low = middle;
      else high = middle - 1;
    }
    return low;
  }

  later() {
    if (!this.waiting) {
      this.waiting = requestAnimationFrame(() => {
        this.waiting = 0;
        this.update();
      });
    }
    this.rest();
  }

  rest() {
    clearTimeout(this.resting);
    this.resting = setTimeout(() => this.settled([...this.drawn.values()]), SETTLED_MS);
  }

  // The part of the list that the window shows: where it begins and ends.
  seen() {
    const top = -this.host.getBoundingClientRect().top;
    return [top, top + window.innerHeight];
  }

  update() {
    if (!this.blocks.length) return;
    const [top, bottom] = this.seen();
    const more = OVERSCAN * window.innerHeight;
    const first = this.at(top - more);
    const last = this.at(bottom + more);
    for (const [index, element] of this.drawn) {
      const kept = index >= first && index <= last;
      if (!kept && !element.contains(document.activeElement)) {
        element.remove();
        this.drawn.delete(index);
      }
    }
    const fresh = [];
    for (let index = first; index <= last; index += 1) {
      if (!this.drawn.has(index)) fresh.push(this.put(index));
    }
    if (fresh.length) this.measure(fresh, top);
  }

  // Draw a block; blocks stand in the page in the order of the list.
  put(index) {
    const element = this.draw(this.blocks[index], index);
    element.style.position = "absolute";
    element.style.insetInline = "0";
    element.style.top = `${this.tops[index]}px`;
    element.dataset.block = String(index);
    const after = [...this.drawn.keys()].filter((one) => one > index);
    const next = after.length ? this.drawn.get(Math.min(...after)) : null;
    this.host.insertBefore(element, next);
    this.drawn.set(index, element);
    return index;
  }

  measure(fresh, top) {
    let moved = 0;
    let changed = false;
    for (const index of fresh) {
      const height = this.drawn.get(index).offsetHeight;
      if (height && Math.abs(height - this.heights[index]) > 0.5) {
        if (this.tops[index + 1] <= top) moved += height - this.heights[index];
        this.heights[index] = height;
        changed = true;
      }
    }
    if (!changed) return;
    this.add();
    for (const [index, element] of this.drawn) element.style.top = `${this.tops[index]}px`;
    if (moved) window.scrollBy({ top: moved, behavior: "instant" });
  }

  // Draw a block that is out of sight; it stays if it takes the focus.
  drawOut(index) {
    this.put(index);
    this.measure([index], this.seen()[0]);
    return this.drawn.get(index);
  }

  // Return a block's element, drawn if need be; the window is moved there if it shows none of it.
  reveal(index) {
    if (!this.drawn.has(index)) {
      const [top, bottom] = this.seen();
      const above = this.tops[index] < top;
      if (this.tops[index + 1] < top || this.tops[index] > bottom) {
        const edge = above ? this.tops[index] - top : this.tops[index + 1] - bottom;
        window.scrollBy({ top: edge, behavior: "instant" });
      }
      this.update();
      if (!this.drawn.has(index)) this.drawOut(index);
    }
    return this.drawn.get(index);
  }
}
