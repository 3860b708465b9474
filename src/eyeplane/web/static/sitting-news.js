// What changes while the page is open: new frames are told, never pushed in; choices made on another
// device and answers for another print are shown where they stand.

import { counted } from "./sitting-list.js";

const EVERY_MS = 4000;

export class News {
  constructor({ key, data, words, say, renewed, grown, choosing }) {
    Object.assign(this, { data, words, say, renewed, grown, choosing });
    this.address = `/sitting/${encodeURIComponent(key)}`;
    this.told = 0; // new frames that were told of
    this.answering = document.getElementById("answering");
  }

  watch() {
    setInterval(() => document.visibilityState === "visible" && this.look(), EVERY_MS);
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") this.look();
    });
  }

  async get(path) {
    try {
      const answer = await fetch(this.address + path);
      return answer.ok ? await answer.json() : null;
    } catch {
      return null; // asked again in some seconds
    }
  }

  async look() {
    if (this.choosing.pending) return;
    const state = await this.get("/state");
    if (state === null) return;
    this.progress(state.answering);
    const more = state.frames - this.data.n.length;
    if (more > 0 && more !== this.told) this.offer(more);
    if (more <= 0 && state.revision !== this.data.revision) await this.renew();
  }

  progress(count) {
    if (count) this.answering.textContent = counted(this.words, "answering", { count });
    else if (this.answering.textContent) this.answering.textContent = this.words.answered;
  }

  offer(more) {
    this.told = more;
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = this.words.show_new;
    button.addEventListener("click", () => this.take());
    document.getElementById("news").replaceChildren(`${counted(this.words, "new", { count: more })} `, button);
  }

  async take() {
    const data = await this.get("/rows");
    if (data === null) return;
    Object.assign(this.data, data);
    this.told = 0;
    this.say("");
    this.grown();
  }

  // The same frames with what is known of them now; their order stays as it is looked at.
  async renew() {
    const data = await this.get("/rows");
    if (data === null || data.n.length !== this.data.n.length || this.choosing.pending) return;
    const same = data.n.every((number, k) => number === this.data.n[k]);
    const answers = ["said", "cause", "best", "burst"].some(
      (name) => data[name].some((value, k) => value !== this.data[name][k]),
    );
    Object.assign(this.data, data);
    if (!same || answers) this.grown();
    else this.renewed();
  }
}
