// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Photographs: dropped or taken at each face, read, corrected, put together with the readings.
import { adjust, needBoard, sendPicture } from './ask.js';
import { el, fill, problemLine } from './dom.js';
import { PhotoSet } from './photo_set.js';
import { together } from './photo_together.js';

const kMost_MB = 48;
const kPictures = 'image/*,.heic,.heif,.tif,.tiff';
const kFirstBoard = 'A4-0';

class FacePhotos {
  constructor(store, part, face, onState, worked) {
    Object.assign(this, { store, part, face, onState, worked, sets: [], taped: [] });
    this.together = el('div', {});
    this.says = el('p', { role: 'status', class: 'says' });
    this.wrong = el('ul', { class: 'problems' });
    this.list = el('div', {});
    this.asks = el('span', { class: 'wrong' });
    const chooser = (id, words, capture) => [
      el('input', { type: 'file', id, class: 'unseen', accept: kPictures, multiple: !capture, capture, onchange: (e) => { this.#take([...e.target.files]); e.target.value = ''; } }),
      el('label', { for: id, class: 'button' }, words)];
    this.body = el('details', { id: `photos-${part}/${face}` },
      el('summary', {}, `${part}, ${face} `, this.asks),
      el('div', { class: 'line drop' }, chooser(`choose-${part}/${face}`, 'Add pictures', null),
        matchMedia('(pointer: coarse)').matches ? chooser(`take-${part}/${face}`, 'Take a picture', 'environment') : null,
        el('span', { class: 'says' }, 'or drop them here. A printed scale board must lie in each; pictures added together are read together.')),
      this.says, this.wrong, this.list, this.together);
    this.body.addEventListener('dragover', (e) => { e.preventDefault(); this.body.classList.add('over'); });
    this.body.addEventListener('dragleave', () => this.body.classList.remove('over'));
    this.body.addEventListener('drop', (e) => {
      e.preventDefault();
      this.body.classList.remove('over');
      this.body.open = true;
      this.#take([...e.dataTransfer.files]);
    });
    this.body.addEventListener('toggle', () => {
      if (!this.body.open) return;
      this.sets.forEach((set) => set.look());
      this.showTogether();
    });
  }

  own() { return this.store.job?.parts?.find((one) => one.id === this.part)?.faces?.find((one) => one.name === this.face); }

  async #take(files) {
    if (files.length === 0) return;
    fill(this.wrong);
    try {
      const kept = [];
      for (const [i, file] of files.entries()) {
        this.says.textContent = `Putting picture ${i + 1} of ${files.length} into the job ...`;
        if (file.size > kMost_MB * 1e6) throw { problems: [{ where: file.name, what: `has ${(file.size / 1e6).toFixed(0)} MB`, remedy: `take it smaller; ${kMost_MB} MB is the most`, code: 'E783' }] };
        kept.push((await sendPicture(file)).file);
      }
      const used = this.store.job.parts.flatMap((part) => part.faces ?? []).flatMap((face) => face.photos ?? []).at(-1)?.boards;
      const boards = used ?? [(await needBoard(kFirstBoard)).file];
      await this.store.saveJob(`${this.part}, ${this.face}: ${kept.length === 1 ? 'a picture' : `${kept.length} pictures`} added`, (job) => {
        const face = job.parts.find((one) => one.id === this.part).faces.find((one) => one.name === this.face);
        const set = { files: kept, boards: [...boards], at: { x: 0, y: 0, sigma: job.units === 'in' ? '50 mm' : 50, turn_sigma_deg: 15 } };
        face.photos = [...(face.photos ?? []), set];
      });
      this.says.textContent = '';
      this.draw();
    } catch (error) {
      this.says.textContent = 'Nothing was added.';
      fill(this.wrong, (error.problems ?? [{ where: '', what: String(error), remedy: 'try again', code: '' }]).map(problemLine));
    }
  }

  /// What the plan made of both, beside the readings alone.
  async showTogether() {
    const own = this.own();
    if (!this.body.open || !own?.photos?.length) return;
    const texts = (own.readings ?? []).map((name) => [name, this.store.text(name)]).filter(([, text]) => text !== undefined);
    const key = JSON.stringify(texts);
    if (key !== this.tapedKey) {
      this.tapedKey = key;
      const surveys = await Promise.all(texts.map(([name, text]) => adjust(name, text, true).catch(() => null)));
      this.taped = surveys.flatMap((one) => one?.survey?.holes ?? []);
    }
    const shown = JSON.stringify([key, this.worked.plan?.stacks, this.worked.stale]);
    if (shown === this.shownTogether) return;
    this.shownTogether = shown;
    fill(this.together, together(this.worked, this.part, this.face, this.taped));
  }

  /// Sets that are there, each kept as long as its place in the list holds.
  draw() {
    const photos = this.own()?.photos ?? [];
    if (photos.length !== this.sets.length) {
      this.sets = photos.map((_, i) => new PhotoSet(this.store, this.part, this.face, i, () => this.#state()));
      fill(this.list, this.sets.map((set) => set.body));
      if (this.body.open) this.sets.forEach((set) => set.look());
    }
    this.sets.forEach((set) => set.draw());
    this.showTogether();
    this.#state();
  }

  #state() {
    const asks = this.sets.map((set) => set.words()).filter(Boolean).join('; ');
    const pictures = (this.own()?.photos ?? []).reduce((sum, set) => sum + (set.files?.length ?? 0), 0);
    this.asks.textContent = asks ? `- ${asks}` : pictures ? `- ${pictures} ${pictures === 1 ? 'picture' : 'pictures'}` : '';
    this.asks.className = asks ? 'wrong' : 'says';
    this.onState();
  }

  doubtful() { return this.sets.reduce((sum, set) => sum + set.doubtful(), 0); }
}

export class PhotosStation {
  constructor(store, onState) {
    Object.assign(this, { store, onState, faces: new Map(), body: el('div', {}), worked: { plan: null, stale: false } });
    store.addEventListener('changed', () => this.draw());
  }

  /// What was worked out last.
  show(plan, stale) {
    Object.assign(this.worked, { plan, stale });
    for (const face of this.faces.values()) face.showTogether();
  }

  words() {
    const doubtful = [...this.faces.values()].reduce((sum, face) => sum + face.doubtful(), 0);
    return doubtful ? `${doubtful} ${doubtful === 1 ? 'thing' : 'things'} in pictures to look at again` : '';
  }

  draw() {
    const wanted = (this.store.job?.parts ?? []).flatMap((part) => (part.faces ?? []).map((face) => [part.id, face.name, face.photos?.length > 0]));
    const key = JSON.stringify(wanted);
    if (key !== this.key) {
      this.key = key;
      const before = this.faces;
      this.faces = new Map(wanted.map(([part, face]) => [`${part}/${face}`, before.get(`${part}/${face}`) ?? new FacePhotos(this.store, part, face, this.onState, this.worked)]));
      const bodies = (with_) => wanted.filter(([, , has]) => has === with_).map(([part, face]) => this.faces.get(`${part}/${face}`).body);
      const [has, others] = [bodies(true), bodies(false)];
      fill(this.body, wanted.length ? [
        el('p', {}, 'Lay a printed scale board beside the holes, flat on the metal or beside the part, and photograph both from above. ',
          el('a', { href: `/boards/${kFirstBoard}.pdf`, target: '_blank', rel: 'noopener' }, 'Print a board'), ' at full size, and measure its two check bars.'),
        has, others.length ? el('details', { open: has.length === 0 || before.size > 0 && this.body.querySelector('.without')?.open, class: 'without' }, el('summary', {}, `Faces without pictures: ${others.length}`), others) : null] : el('p', {}, 'No part has a face yet.'));
    }
    for (const face of this.faces.values()) face.draw();
  }
}
