// Choosing: told to the server one after the other, shown at once, and shown right if that fails.

export class Choosing {
  // changed() draws marks and count anew; failed() says that a choice was not kept.
  constructor(key, data, { changed, failed }) {
    this.address = `/sitting/${encodeURIComponent(key)}`;
    this.data = data;
    this.changed = changed;
    this.failed = failed;
    this.pending = 0;
    this.row = Promise.resolve(null);
  }

  get count() {
    return this.data.chosen.reduce((sum, one) => sum + one, 0);
  }

  // Choose frames at these places, or take their choice back; `fields` says it to the server.
  set(places, chosen, fields) {
    for (const k of places) this.data.chosen[k] = Number(chosen);
    this.changed();
    return this.send("choose", fields);
  }

  undo() {
    return this.send("undo", []);
  }

  send(path, fields) {
    this.pending += 1;
    this.row = this.row.then(() => this.post(path, fields));
    return this.row;
  }

  async post(path, fields) {
    let told = null;
    try {
      const answer = await fetch(`${this.address}/${path}`, {
        method: "POST",
        headers: { accept: "application/json" },
        body: new URLSearchParams(fields),
      });
      if (answer.ok) told = await answer.json();
    } catch {
      told = null; // the server is not there: said below
    }
    this.pending -= 1;
    if (told === null) {
      await this.failed();
      return null;
    }
    if (told.revision === this.data.revision + 1) this.data.revision = told.revision; // ours alone
    if (!this.pending) {
      this.adopt(new Set(told.numbers));
    }
    return told;
  }

  adopt(numbers) {
    this.data.n.forEach((number, k) => {
      this.data.chosen[k] = Number(numbers.has(number));
    });
    this.changed();
  }
}
