// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// What the page knows of the job on disk. Every change goes there at once, one after the other; a change made to
// something that somebody else has changed meanwhile is not saved but shown as a clash.
import * as ask from './ask.js';
import { jobText } from './job_text.js';

export class Store extends EventTarget {
  #files = new Map();  // name -> {stamp, text}
  #saving = Promise.resolve();
  #pending = 0;
  #unsaved = new Map();  // name -> changes that are not on disk yet

  about = { files: [], problems: [], sketch: null, undo: null, redo: null, folder: '', state: '' };
  job = null;  // parsed job.json; null while it is no JSON, or not there

  text(name) { return this.#files.get(name)?.text; }

  async load() {
    await this.#look();
    setInterval(() => { if (this.#pending === 0) this.#look().catch((error) => this.#tell('lost', error)); }, 2000);
  }

  async #look() {
    const about = await ask.getJob();
    let changed = about.state !== this.about.state;
    for (const { name, stamp } of about.files) {
      if (this.#files.get(name)?.stamp === stamp) continue;
      this.#take(await ask.getFile(name));
      changed = true;
    }
    for (const name of [...this.#files.keys()]) {
      if (about.files.some((file) => file.name === name)) continue;
      changed = this.#files.delete(name);
      if (name === 'job.json') this.job = null;
    }
    this.about = about;
    if (changed) this.#tell('changed');
  }

  #take(view) {
    this.#files.set(view.name, { stamp: view.stamp, text: view.text });
    if (view.name !== 'job.json' || this.isSaving(view.name)) return;  // a later change is on its way
    try {
      this.job = JSON.parse(view.text);
    } catch {
      this.job = null;
    }
  }

  #tell(what, detail) { this.dispatchEvent(new CustomEvent(what, { detail })); }

  isSaving(name) { return this.#unsaved.has(name); }
  #count(name, by) {
    const count = (this.#unsaved.get(name) ?? 0) + by;
    if (count) this.#unsaved.set(name, count);
    else this.#unsaved.delete(name);
  }

  /// Saves a file's whole text. Resolves when it is on disk. `joins`: it goes on with the change before, of the same
  /// words, and is taken back with it.
  save(name, text, what, joins = false) {
    const stamp = () => this.#files.get(name)?.stamp ?? '';
    this.#count(name, 1);
    return this.#inTurn(async () => {
      try {
        const view = await ask.putFile(name, text, stamp(), what, joins).finally(() => this.#count(name, -1));
        this.#take(view);
      } catch (error) {
        if (error.status !== 409) throw error;
        const theirs = await ask.getFile(name).catch(() => ({ name, text: '', stamp: '' }));
        this.#tell('clash', { name, mine: text, theirs, what });
      }
    });
  }

  /// One change of the job: `change` alters the copy it is given.
  saveJob(what, change, joins = false) {
    const job = structuredClone(this.job);
    change(job);
    this.job = job;  // what is changed next builds on it
    return this.save('job.json', `${jobText(job)}\n`, what, joins);
  }

  /// After a clash: `theirs` becomes what the page knows, and `text`, if any, replaces it.
  async settle(theirs, text, what) {
    this.#take(theirs);
    if (text !== undefined) await this.save(theirs.name, text, what);
    this.#tell('changed');
  }

  /// In a folder without a job: 'example' or 'nothing'.
  begin(what) {
    return this.#inTurn(() => ask.begin(what));
  }

  step(forward) {
    return this.#inTurn(async () => { this.#take(await (forward ? ask.redo() : ask.undo())); });
  }

  #inTurn(work) {
    this.#pending += 1;
    const done = this.#saving.then(work).then(() => this.#look());
    this.#saving = done.catch(() => {}).then(() => { this.#pending -= 1; });
    return done.catch((error) => { this.#tell('lost', error); });
  }
}
