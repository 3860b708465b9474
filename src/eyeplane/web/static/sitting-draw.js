// A block of frames as elements, from the same markup that the server draws with.

export class Drawing {
  constructor({ key, data, words, state }) {
    this.key = encodeURIComponent(key);
    this.data = data;
    this.words = words;
    this.state = state; // current: place of the frame that keys move from; row: set of places; query
    this.one = document.getElementById("one-frame").content.firstElementChild;
    this.plain = document.getElementById("plain-frame").content.firstElementChild;
  }

  block(block, total) {
    const section = document.createElement("section");
    section.className = `burst ${block.kind}${block.head ? "" : " goes-on"}`;
    if (block.head) section.append(this.head(block.head));
    const list = document.createElement("ul");
    list.className = block.kind === "unanswered" ? "plains" : "frames";
    block.frames.forEach((k, index) => {
      list.append(this.frame(k, { place: block.place + index, total, plain: block.kind === "unanswered" }));
    });
    section.append(list);
    return section;
  }

  head({ heading, aside, why }) {
    const head = document.createElement("div");
    head.className = "burst-head";
    const title = document.createElement("h3");
    title.append(`${heading} `);
    const beside = document.createElement("span");
    beside.className = "aside";
    beside.textContent = aside;
    title.append(beside);
    const reason = document.createElement("p");
    reason.className = "burst-why";
    reason.textContent = why;
    head.append(title, reason);
    return head;
  }

  frame(k, { place, total, plain }) {
    const { data, words } = this;
    const item = (plain ? this.plain : this.one).cloneNode(true);
    const number = data.n[k];
    item.id = `f${number}`;
    item.dataset.place = String(place);
    item.setAttribute("aria-posinset", String(place + 1));
    item.setAttribute("aria-setsize", String(total));
    const link = item.querySelector(".to");
    link.href = `/sitting/${this.key}/frame/${number}${this.state.query}`;
    item.querySelector(".number").textContent = String(number);
    item.querySelector(".name").textContent = data.name[k];
    item.querySelector(".of").textContent = data.name[k];
    item.querySelector(".choose").value = String(number);
    if (plain) {
      item.querySelector(".reason").textContent = data.reasons[number] ?? "";
    } else {
      const [reach, spread] = data.sayings[data.said[k]];
      item.querySelector(".reach-words").prepend(reach);
      item.querySelector(".spread").textContent = spread;
      item.querySelector(".cause").textContent = data.causes[data.cause[k]];
      if (data.eyes[k] === 1) item.querySelector(".shut").textContent = `, ${words.shut}`;
      if (data.best[k]) item.querySelector(".best-words").textContent = `${words.best}, `;
      item.classList.toggle("best", Boolean(data.best[k]));
      this.window(item.querySelector(".window"), k);
    }
    this.mark(item, k, place);
    return item;
  }

  window(frame, k) {
    const picture = frame.firstElementChild;
    if (!this.data.scale[k]) {
      frame.textContent = this.words.no_window;
      frame.classList.add("without");
      return;
    }
    for (const name of ["src", "loading", "width", "height"]) picture.removeAttribute(name);
    const mark = this.data.mark[k] || "0";
    picture.dataset.src = `/eye/${this.key}/${this.data.n[k]}/${this.data.face[k]}.jpg?v=${mark}`;
    const scale = this.data.scale[k];
    picture.addEventListener("load", () => {
      picture.width = Math.round(picture.naturalWidth * scale);
      picture.height = Math.round(picture.naturalHeight * scale);
    });
    picture.addEventListener("error", () => {
      frame.textContent = this.words.no_window;
      frame.classList.add("without");
    });
  }

  // What changes while the frame stands there: chosen, in a row, where keys move from.
  mark(item, k, place) {
    const chosen = Boolean(this.data.chosen[k]);
    item.classList.toggle("chosen", chosen);
    item.classList.toggle("in-row", this.state.row.has(place));
    const button = item.querySelector(".choose");
    button.name = chosen ? "drop" : "choose";
    item.querySelector(".choose-words").textContent = chosen ? this.words.drop : this.words.choose;
    item.querySelector(".back-words").textContent = chosen ? `, ${this.words.take_back}` : "";
    const tab = place === this.state.current ? 0 : -1;
    item.querySelector(".to").tabIndex = tab;
    button.tabIndex = tab;
  }

  // Ask for the pictures of what is to be seen.
  static pictures(elements) {
    for (const element of elements) {
      for (const picture of element.querySelectorAll("img[data-src]")) {
        picture.src = picture.dataset.src;
        delete picture.dataset.src;
      }
    }
  }
}
