// Going through the list by keys, taking frames into a row by keys or touch, and choosing them.

import { counted, fill } from "./sitting-list.js";

// Numbers in rising order, those that follow each other as one run: "1-4,7".
function runs(numbers) {
  const found = [];
  for (const number of numbers) {
    const last = found.at(-1);
    if (last && last[1] === number - 1) last[1] = number;
    else found.push([number, number]);
  }
  return found.map(([first, last]) => (first === last ? `${first}` : `${first}-${last}`)).join(",");
}

export class Moving {
  constructor(given) {
    Object.assign(this, given);
    this.anchor = null; // place at which a row of frames begins
    this.several = false; // whether touches take frames into a row
    this.bar = document.getElementById("taking");
    this.host.addEventListener("keydown", (event) => this.pressed(event));
    this.host.addEventListener("focusin", (event) => this.came(event));
    this.host.addEventListener("click", (event) => this.clicked(event), true);
    document.getElementById("undoing").addEventListener("submit", (event) => {
      event.preventDefault();
      this.undo();
    });
    const button = document.getElementById("several");
    button.hidden = false;
    button.addEventListener("click", () => this.begin());
    this.bar.addEventListener("click", (event) => this.taken(event.target.closest("[data-take]")));
    const on = (name, act) => {
      document.addEventListener(`key:${name}`, (event) => act() !== false && event.preventDefault());
    };
    on("choose", () => this.toggle());
    on("undo", () => this.undo());
    on("best", () => this.best());
    on("eyes", () => this.eyes());
    on("before", () => this.burst(-1));
    on("after", () => this.burst(1));
  }

  // Index of the block in which a place of the list lies.
  blockOf(place) {
    const { blocks } = this.show;
    let low = 0;
    let high = blocks.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (blocks[middle].place <= place) low = middle;
      else high = middle - 1;
    }
    return low;
  }

  // From now on keys move from this place.
  at(place) {
    this.state.current = place;
    this.state.number = this.data.n[this.show.order[place]];
  }

  itemAt(place) {
    const block = this.list.reveal(this.blockOf(place));
    return block.querySelector(`li[data-place="${place}"]`);
  }

  focus(place) {
    const item = this.itemAt(place);
    this.at(place);
    this.marks();
    item.querySelector(".to").focus({ preventScroll: true });
    item.scrollIntoView({ block: "nearest" });
    this.list.rest();
  }

  // Give the current frame its focus back where it stands, seen or not.
  hold() {
    const index = this.blockOf(this.state.current);
    const block = this.list.drawn.get(index) ?? this.list.drawOut(index);
    block.querySelector(`li[data-place="${this.state.current}"] .to`).focus({ preventScroll: true });
  }

  // Of the frames in the page one is always reached by Tab: the one keys move from, or the first seen.
  keepReachable() {
    if (this.host.contains(document.activeElement) || !this.show.order.length) return;
    const items = [...this.host.querySelectorAll("li[data-place]")];
    const seen = (item) => {
      const box = item.getBoundingClientRect();
      return box.bottom > 0 && box.top < window.innerHeight;
    };
    const current = items.find((item) => Number(item.dataset.place) === this.state.current);
    if (current && seen(current)) return;
    const first = items.find(seen) ?? items[0];
    if (first) {
      this.at(Number(first.dataset.place));
      this.marks();
    }
  }

  came(event) {
    const item = event.target.closest("li[data-place]");
    if (!item || Number(item.dataset.place) === this.state.current) return;
    this.at(Number(item.dataset.place));
    this.marks();
  }

  pressed(event) {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.key === "Escape" && (this.state.row.size || this.several)) {
      this.end();
      event.preventDefault();
      return;
    }
    const place = this.goal(event.key);
    if (place === null) return;
    event.preventDefault();
    if (event.shiftKey) this.reach(place);
    else if (!this.several) this.clear();
    this.focus(place);
  }

  // Where a key leads from the current frame.
  goal(key) {
    const last = this.show.order.length - 1;
    const now = this.state.current;
    if (key === "ArrowRight") return Math.min(now + 1, last);
    if (key === "ArrowLeft") return Math.max(now - 1, 0);
    if (key === "Home") return 0;
    if (key === "End") return last;
    if (key === "ArrowDown") return this.below(now, last);
    return key === "ArrowUp" ? this.above(now) : null;
  }

  below(now, last) {
    const index = this.blockOf(now);
    const block = this.show.blocks[index];
    const within = now - block.place;
    const lines = Math.ceil(block.frames.length / block.across);
    const end = block.place + block.frames.length - 1;
    if (Math.floor(within / block.across) < lines - 1) return Math.min(now + block.across, end);
    const next = this.show.blocks[index + 1];
    if (!next) return last;
    return next.place + Math.min(within % block.across, next.frames.length - 1, next.across - 1);
  }

  above(now) {
    const index = this.blockOf(now);
    const block = this.show.blocks[index];
    const within = now - block.place;
    if (within >= block.across) return now - block.across;
    const before = this.show.blocks[index - 1];
    if (!before) return 0;
    const lastLine = Math.floor((before.frames.length - 1) / before.across) * before.across;
    return before.place + Math.min(lastLine + Math.min(within, before.across - 1), before.frames.length - 1);
  }

  burst(step) {
    const { blocks } = this.show;
    let index = this.blockOf(this.state.current) + step;
    while (step < 0 && index > 0 && !blocks[index].head) index -= 1;
    while (step > 0 && index < blocks.length && !blocks[index].head) index += 1;
    if (!blocks[index]) return false;
    this.clear();
    this.focus(blocks[index].place);
    return true;
  }

  bestOf(k) {
    const { burst, best } = this.data;
    return this.show.order.findIndex((one) => burst[one] && burst[one] === burst[k] && best[one]);
  }

  best() {
    const place = this.bestOf(this.show.order[this.state.current]);
    if (place < 0) return false;
    this.clear();
    this.focus(place);
    return true;
  }

  eyes() {
    const k = this.show.order[this.state.current];
    if (k === undefined || this.data.status[k] !== 0) return false;
    const best = this.data.n.findIndex((_, one) => this.data.burst[one] === this.data.burst[k] && this.data.best[one]);
    const other = best >= 0 && best !== k ? `&b=${this.data.n[best]}` : "";
    location.assign(`/eyes/${encodeURIComponent(this.host.dataset.key)}?a=${this.data.n[k]}${other}`);
    return true;
  }

  // Take all frames between the row's beginning and this place.
  reach(place) {
    this.anchor ??= this.state.current;
    const [low, high] = [this.anchor, place].sort((a, b) => a - b);
    this.state.row.clear();
    for (let k = low; k <= high; k += 1) this.state.row.add(k);
    this.offer();
  }

  offer() {
    this.ask(true);
    this.say(counted(this.words, "several_taken", { count: this.state.row.size }));
    this.marks();
  }

  clear() {
    this.anchor = null;
    if (!this.state.row.size) return;
    this.state.row.clear();
    this.ask(false);
    this.say("");
    this.marks();
  }

  // Whether the bar asks what to do with the row; all else in it waits for the answer.
  ask(open) {
    this.bar.hidden = !open;
    this.bar.parentElement.classList.toggle("asks", open);
  }

  begin() {
    this.clear();
    this.several = true;
    this.ask(true);
    this.say(this.words.several_first);
  }

  end() {
    this.several = false;
    this.clear();
    this.ask(false);
    this.say("");
  }

  taken(button) {
    if (!button) return;
    if (button.dataset.take && this.state.row.size) this.takeRow(button.dataset.take === "choose");
    this.end();
  }

  clicked(event) {
    const item = event.target.closest("li[data-place]");
    if (!item) return;
    const place = Number(item.dataset.place);
    if (this.several) {
      event.preventDefault();
      event.stopPropagation();
      this.touched(place);
      return;
    }
    if (!event.target.closest(".choose")) return;
    event.preventDefault();
    if (event.shiftKey && this.state.current !== place) {
      this.anchor = this.state.current;
      this.reach(place);
      return;
    }
    this.clear();
    this.at(place);
    this.toggle();
  }

  touched(place) {
    if (this.anchor === null) {
      this.anchor = place;
      this.state.row = this.state.row.add(place);
      this.say(this.words.several_last);
      this.marks();
    } else {
      this.reach(place);
    }
    this.at(place);
    this.marks();
  }

  toggle() {
    if (!this.show.order.length) return false;
    if (this.state.row.size) {
      const all = [...this.state.row].every((place) => this.data.chosen[this.show.order[place]]);
      this.takeRow(!all);
      this.end();
      return true;
    }
    const k = this.show.order[this.state.current];
    const chosen = !this.data.chosen[k];
    this.choosing.set([k], chosen, [[chosen ? "choose" : "drop", this.data.n[k]]]);
    return true;
  }

  takeRow(chosen) {
    const places = [...this.state.row].sort((a, b) => a - b);
    const frames = places.map((place) => this.show.order[place]);
    const numbers = runs(frames.map((k) => this.data.n[k]).sort((a, b) => a - b));
    this.choosing.set(frames, chosen, [["do", chosen ? "choose" : "drop"], ["numbers", numbers]]);
  }

  async undo() {
    const before = this.data.chosen.slice();
    const told = await this.choosing.undo();
    if (told === null) return;
    const same = before.every((one, k) => one === this.data.chosen[k]);
    this.say(same ? this.words.undo_none : fill(this.words.undone, { count: this.choosing.count }));
  }
}
