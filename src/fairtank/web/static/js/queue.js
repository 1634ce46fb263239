// What was typed in rounds and is not stored yet: kept on this phone at every keystroke, sent when there is a connection.
// Texts lie in localStorage, one item for each field; photos lie in IndexedDB (see upload.js).

const RETRY_MS = [2000, 4000, 8000, 15000, 30000];

const pad = number => String(number).padStart(2, "0");

export function clockTime(date = new Date()) {
  return `${date.getFullYear()}-${pad(date.getMonth() + 1)}-${pad(date.getDate())}T${pad(date.getHours())}:${pad(date.getMinutes())}:${pad(date.getSeconds())}`;
}

export function zonedTime(date = new Date()) {
  const ahead = -date.getTimezoneOffset();
  return `${clockTime(date)}${ahead < 0 ? "-" : "+"}${pad(Math.floor(Math.abs(ahead) / 60))}:${pad(Math.abs(ahead) % 60)}`;
}

export function newKey() { // pages in the house's own network are not "secure", so there is no randomUUID
  return Array.from(crypto.getRandomValues(new Uint8Array(12)), byte => pad(byte.toString(16))).join("");
}

export class Queue extends EventTarget {
  constructor({ slug, day, address, token }) {
    super();
    Object.assign(this, { address, token, day, isSending: false, isOffline: false, tries: 0, timer: 0, fault: "" });
    this.root = `fairtank.${slug}.`;
    this.here = `${this.root}${day}.`;
    this.canKeep = true;
    this.memory = new Map(); // where the browser keeps nothing
    addEventListener("online", () => this.flush());
  }

  read(name) {
    try { return JSON.parse(localStorage.getItem(name) ?? this.memory.get(name) ?? "null"); } catch { return JSON.parse(this.memory.get(name) ?? "null"); }
  }

  write(name, value) {
    const text = JSON.stringify(value);
    try { localStorage.setItem(name, text); } catch { this.canKeep = false; this.memory.set(name, text); }
  }

  drop(name) {
    try { localStorage.removeItem(name); } catch { /* nothing was kept */ }
    this.memory.delete(name);
  }

  // The round of this page's day: begun with the first touch, over with `ended`.
  round(begin = false) {
    let round = this.read(`${this.here}round`);
    if (!round && begin) {
      round = { key: newKey(), day: this.day, begun: zonedTime(), late: "" };
      this.write(`${this.here}round`, round);
      this.tell();
    }
    return round;
  }

  setRound(changes) {
    this.write(`${this.here}round`, { ...this.round(true), ...changes });
  }

  names(prefix = `${this.here}item.`) {
    const found = new Set(this.memory.keys());
    try { for (let place = 0; place < localStorage.length; place += 1) found.add(localStorage.key(place)); } catch { /* none are kept */ }
    return [...found].filter(name => name.startsWith(prefix)).sort();
  }

  item(key) {
    return this.read(`${this.here}item.${key}`);
  }

  items() {
    return this.names().map(name => this.read(name)).filter(Boolean);
  }

  // A field as it stands now. isReady: whoever typed has gone on, so that it may be sent.
  keep(key, facts, value, { isReady = false, sure = false } = {}) {
    const before = this.item(key);
    if (!before && value === "") return;
    const isSame = before?.value === value && before?.event === facts.event;
    const round = this.round(true);
    const item = { generation: 0, sent: "", state: "typed", said: "", beside: [], ...before, ...facts, key, value, round,
                   noted: isSame && before.noted ? before.noted : clockTime(), isReady: isReady || (isSame && before.isReady), sure: sure || (isSame && before.sure) };
    if (!isSame || sure) Object.assign(item, { state: "typed", said: "", beside: [] });
    this.write(`${this.here}item.${key}`, item);
    this.tell();
    if (item.isReady) this.soon();
  }

  static stamp(item) {
    return `${item.value}\u0000${item.event ?? ""}`;
  }

  // Whether a field says something else than what is stored.
  static isOpen(item) {
    return item.value === "" ? item.sent !== "" : item.sent !== Queue.stamp(item);
  }

  waiting() {
    return this.items().filter(item => Queue.isOpen(item) && !["asked", "refused"].includes(item.state));
  }

  troubled() {
    return this.items().filter(item => ["asked", "refused"].includes(item.state) && Queue.isOpen(item));
  }

  soon() {
    clearTimeout(this.soonTimer);
    this.soonTimer = setTimeout(() => this.flush(), 150);
  }

  entryOf(item) {
    const entry = `${item.round.key}-${item.key}-${item.generation}`;
    const { kind, unit, quantity, unit_of_measure, chore, due_day, event } = item;
    if (item.value === "") return { entry, kind, gone: true };
    const at = item.date ? `${item.date}T${item.noted.slice(11)}` : item.noted;
    const own = { entry, kind, unit, at, noted: item.noted };
    if (kind === "reading") return { ...own, quantity, unit_of_measure, value: item.value, sure: item.sure };
    if (kind === "chore") return { ...own, chore, due_day };
    return { ...own, note: item.value, event };
  }

  // Send everything that is ready, of every day, round by round; several calls become one.
  async flush({ all = false, end = null } = {}) {
    if (this.isSending && !end) { this.isAskedAgain = true; return this.running; }
    while (this.isSending) await this.running; // the end of the round is not part of what is on its way
    this.isSending = true;
    this.running = this.sendAll(all, end);
    try { return await this.running; } finally {
      this.isSending = false;
      this.tell();
      if (this.isAskedAgain) { this.isAskedAgain = false; this.soon(); }
    }
  }

  async sendAll(all, end) {
    const groups = new Map();
    for (const name of this.names(this.root)) {
      if (!name.includes(".item.")) continue;
      const item = this.read(name);
      if (!item || !Queue.isOpen(item) || ["asked", "refused"].includes(item.state) || !(item.isReady || all)) continue;
      const group = groups.get(item.round.key) ?? { round: { ...item.round }, names: [], items: [] };
      group.names.push(name);
      group.items.push(item);
      groups.set(item.round.key, group);
    }
    if (end && !groups.has(end.key)) groups.set(end.key, { round: end, names: [], items: [] });
    this.tell();
    let last = groups.size ? null : {};
    this.fault = "";
    for (const group of groups.values()) {
      const isEnd = end && end.key === group.round.key;
      if (group.round.key === this.round()?.key) group.round.late = this.round().late;
      const answer = await this.post({ round: { ...group.round, ...(isEnd ? { ended: end.ended } : {}) }, entries: group.items.map(item => this.entryOf(item)), end: Boolean(isEnd) });
      if (this.isOffline) return null;
      if (!answer) continue; // refused as a whole, and told; rounds of other days go on
      last = answer;
      answer.answers?.forEach((told, place) => this.take(group.names[place], group.items[place], told));
    }
    return last;
  }

  async post(body) {
    let response;
    try {
      response = await fetch(this.address, { method: "POST", body: JSON.stringify(body), headers: { "Content-Type": "application/json", "X-CSRFToken": this.token } });
    } catch { return this.later(); }
    if (response.status >= 500 || response.status === 429) return this.later();
    Object.assign(this, { isOffline: false, tries: 0 });
    const told = await response.json().catch(() => ({}));
    if (!response.ok) this.fault = told.said ?? "open_again";
    return response.ok ? told : null;
  }

  later() {
    this.isOffline = true;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.flush(), RETRY_MS[Math.min(this.tries, RETRY_MS.length - 1)]);
    this.tries += 1;
    return null;
  }

  // What the shelf said of one item. What was typed meanwhile stays, and is sent next.
  take(name, sent, told) {
    const now = this.read(name);
    if (!now) return;
    const isSame = Queue.stamp(now) === Queue.stamp(sent);
    if (told.state === "gone") Object.assign(now, { sent: "", generation: sent.generation + 1 });
    if (told.state === "stored") now.sent = Queue.stamp(sent);
    if (isSame) Object.assign(now, { state: told.state, said: told.said ?? "", beside: told.beside ?? [] });
    this.write(name, now);
  }

  // Forget what is stored; of earlier days too.
  forget(roundKey) {
    for (const name of this.names(this.root)) {
      const held = this.read(name);
      const key = name.endsWith(".round") ? held?.key : held?.round?.key;
      if (key === roundKey) this.drop(name);
    }
  }

  tell() {
    this.dispatchEvent(new Event("change"));
  }
}
