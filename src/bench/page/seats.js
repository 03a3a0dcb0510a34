// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Parts moved and turned by hand, within their play, and where that carries their holes.

const kStill = 1e-9;  // mm or degrees: not moved
const kDegree = Math.PI / 180;
const kWholePlay_px = 240;  // so far the hand goes from end to end of a play: a millimetre on a plate is a pixel or two

const turned = ([x, y], deg) => {
  const [c, s] = [Math.cos(deg * kDegree), Math.sin(deg * kDegree)];
  return [c * x - s * y, s * x + c * y];
};
const range = (play) => (Array.isArray(play) ? play.map(Number) : [-(Number(play) || 0), Number(play) || 0]);
const within = (value, [least, most]) => Math.min(Math.max(value, least), most);

export const kAxes = ['along', 'across', 'turn_deg'];

export class Seats {
  constructor(store) {
    this.store = store;
    this.byJoint = new Map();  // joint -> {along, across, turn_deg}: how it sits now, from the job's seat
  }

  clear() { this.byJoint.clear(); }
  joint(seat) { return this.store.job?.joints?.find((one) => one.name === seat.joint); }
  play(seat) {
    const play = this.joint(seat)?.play ?? {};
    return Object.fromEntries(kAxes.map((axis) => [axis, range(play[axis] ?? 0)]));
  }
  movable(seat) { return Object.values(this.play(seat)).some(([least, most]) => most > least); }
  now(seat) { return this.byJoint.get(seat.joint) ?? seat; }
  moved(seat) { return this.byJoint.has(seat.joint); }

  /// Sits the part so, not beyond its play.
  put(seat, place) {
    const play = this.play(seat);
    const now = this.now(seat);
    const put = Object.fromEntries(kAxes.map((axis) => [axis, within(place[axis] ?? now[axis], play[axis])]));
    if (kAxes.every((axis) => Math.abs(put[axis] - seat[axis]) < kStill)) this.byJoint.delete(seat.joint);
    else this.byJoint.set(seat.joint, put);
  }

  /// By hand: `by_px` is how far the hand went along x and y of the plate (up positive) since it sat at `from`.
  drag(seat, from, by_px) {
    const play = this.play(seat);
    const geared = (axis, px) => from[axis] + px * (play[axis][1] - play[axis][0]) / kWholePlay_px;
    this.put(seat, { along: geared('along', by_px[0]), across: geared('across', by_px[1]) });
  }
  turn(seat, from, by_px) {
    const [least, most] = this.play(seat).turn_deg;
    this.put(seat, { turn_deg: from.turn_deg + by_px * (most - least) / kWholePlay_px });
  }

  /// Points of the face, where its part sits now, on the carrier.
  place(seat, points) {
    const { x, y, turn_deg, mirrored } = seat.plate_from_face;
    const now = this.now(seat);
    return points.map(([px, py]) => {
      const [dx, dy] = turned([px, mirrored ? -py : py], turn_deg + now.turn_deg - seat.turn_deg);
      return [x + now.along - seat.along + dx, y + now.across - seat.across + dy];
    });
  }

  /// How far a hand carried the hole of this layer of this stack from where the plan has it.
  shift(seats, stack, layer) {
    const now = this.byJoint.get(layer.joint);
    if (!now || !layer.misfit) return [0, 0];
    const seat = seats.find((one) => one.joint === layer.joint);
    const { x, y } = seat.plate_from_face;
    const arm = [stack.x + layer.misfit[0] - x, stack.y + layer.misfit[1] - y];
    const after = turned(arm, now.turn_deg - seat.turn_deg);
    return [now.along - seat.along + after[0] - arm[0], now.across - seat.across + after[1] - arm[1]];
  }

  hold(seat) {
    const now = this.now(seat);
    return this.store.saveJob(`${seat.part} held where it was put`, (job) => {
      job.joints.find((one) => one.name === seat.joint).pinned_seat = {
        along: this.#mm(now.along, job), across: this.#mm(now.across, job), turn_deg: Number(now.turn_deg.toFixed(5)) };
    });
  }
  letGo(seat) {
    return this.store.saveJob(`${seat.part} let go`, (job) => { delete job.joints.find((one) => one.name === seat.joint).pinned_seat; });
  }
  #mm(value, job) { return job.units === 'in' ? `${value.toFixed(3)} mm` : Number(value.toFixed(3)); }
}
