// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Parts moved and turned by hand, within their play, and where that carries their holes.

const kStill = 1e-9;  // mm or degrees: not moved
const kPast = 0.01;  // mm or degrees: so little beyond a play is none
const kDegree = Math.PI / 180;
const kWholePlay_px = 240;  // so far the hand goes from end to end of a play: a millimetre on a plate is a pixel or two

const turned = ([x, y], deg) => {
  const [c, s] = [Math.cos(deg * kDegree), Math.sin(deg * kDegree)];
  return [c * x - s * y, s * x + c * y];
};
const range = (play) => (Array.isArray(play) ? play.map(Number) : [-(Number(play) || 0), Number(play) || 0]);
const within = (value, [least, most]) => Math.min(Math.max(value, least), most);

/// A follower whose directions are mirrored turns the other way.
const sign = ({ by_dx, by_dy }) => Math.sign(by_dx[0] * by_dy[1] - by_dx[1] * by_dy[0]) || 1;

export const kAxes = ['along', 'across', 'turn_deg'];

const kReaches = ['dx', 'dy', 'turn_deg'];
const kStop = { dx: 0, dy: 0, turn_deg: 0 };
const kRounds = 3;  // what shared movers leave, own ones take; a turn's arm is told once more
const kHalvings = 24;

/// Where movers carry a face: `moves` is a Map from mover to {dx, dy, turn_deg}, from where the plan has them.
export class Seats {
  constructor(store) {
    this.store = store;
    this.use(null);
  }

  /// Another plan: every part where it has it.
  use(plan) {
    this.plan = plan;
    this.moves = new Map();
    this.own = new Map();  // joint -> a mover for it alone, where the plan names none
  }

  joint(seat) { return this.store.job?.joints?.find((one) => one.name === seat.joint); }
  play(seat) {
    const play = this.joint(seat)?.play ?? {};
    return Object.fromEntries(kAxes.map((axis) => [axis, range(play[axis] ?? 0)]));
  }
  movable(seat) { return Object.values(this.play(seat)).some(([least, most]) => most > least); }
  now(seat, moves = this.moves) {
    const shift = { along: seat.along, across: seat.across, turn_deg: seat.turn_deg };
    for (const { mover, follower } of this.#moversOf(seat)) {
      const { dx, dy, turn_deg } = moves.get(mover) ?? kStop;
      const turn = sign(follower) * turn_deg;
      const arm = [seat.plate_from_face.x - follower.pivot[0], seat.plate_from_face.y - follower.pivot[1]];
      const after = turned(arm, turn);
      shift.along += follower.by_dx[0] * dx + follower.by_dy[0] * dy + after[0] - arm[0];
      shift.across += follower.by_dx[1] * dx + follower.by_dy[1] * dy + after[1] - arm[1];
      shift.turn_deg += turn;
    }
    return shift;
  }
  moved(seat) {
    const now = this.now(seat);
    return kAxes.some((axis) => Math.abs(now[axis] - seat[axis]) > kStill);
  }
  movedJoints() {
    if (this.known !== this.moves) this.joints = new Set(this.plan.seats.filter((seat) => this.moved(seat)).map((seat) => seat.joint));
    this.known = this.moves;
    return this.joints;
  }

  /// Shared movers first, then what is left to the face alone. A part that the plan held moves alone.
  #moversOf(seat) {
    const found = (this.plan?.movers ?? []).flatMap((mover) => mover.followers.filter((one) => one.joint === seat.joint).map((follower) => ({ mover, follower })));
    if (found.some(({ mover }) => kReaches.some((key) => mover[key][1] > mover[key][0]))) return found.sort((a, b) => b.mover.followers.length - a.mover.followers.length);
    if (!this.own.has(seat.joint)) this.own.set(seat.joint, this.#alone(seat));
    const mover = this.own.get(seat.joint);
    return [{ mover, follower: mover.followers[0] }];
  }
  #alone(seat) {
    const play = this.play(seat);
    const reach = (axis) => play[axis].map((end) => end - seat[axis]);
    return { name: seat.joint, dx: reach('along'), dy: reach('across'), turn_deg: reach('turn_deg'),
      followers: [{ joint: seat.joint, by_dx: [1, 0], by_dy: [0, 1], pivot: [seat.plate_from_face.x, seat.plate_from_face.y] }] };
  }

  /// Sits the part so, as far as its movers carry it and no face they carry leaves its play.
  put(seat, place, from = this.moves) {
    this.moves = from;
    for (const axis of ['turn_deg', 'along', 'across']) {
      if (place[axis] === undefined) continue;
      const wanted = within(place[axis], this.play(seat)[axis]);
      this.moves = this.#allowed(this.moves, this.#towards(seat, axis, wanted));
    }
  }

  /// Moves that bring the seat to `wanted` on one axis and leave it on the others.
  #towards(seat, axis, wanted) {
    const moves = new Map(this.moves);
    const goal = { ...this.now(seat), [axis]: wanted };
    for (let round = 0; round < kRounds; round += 1) {
      for (const { mover, follower } of this.#moversOf(seat)) {
        const move = { ...(moves.get(mover) ?? kStop) };
        moves.set(mover, move);
        move.turn_deg = within(move.turn_deg + sign(follower) * (goal.turn_deg - this.now(seat, moves).turn_deg), mover.turn_deg);
        const at = this.now(seat, moves);
        const rest = [goal.along - at.along, goal.across - at.across];
        move.dx = within(move.dx + follower.by_dx[0] * rest[0] + follower.by_dx[1] * rest[1], mover.dx);
        move.dy = within(move.dy + follower.by_dy[0] * rest[0] + follower.by_dy[1] * rest[1], mover.dy);
      }
    }
    return moves;
  }

  /// From the moves as they are as far towards these as all plays let.
  #allowed(from, to) {
    const touched = this.plan.seats.filter((seat) => this.#moversOf(seat).some(({ mover }) => to.has(mover)));
    const beyond = (moves) => Math.max(0, ...touched.flatMap((seat) => {
      const [now, play] = [this.now(seat, moves), this.play(seat)];
      return kAxes.map((axis) => Math.abs(now[axis] - within(now[axis], play[axis])));
    }));
    const most = Math.max(kPast, beyond(from));
    const between = (t) => new Map([...to].map(([mover, move]) => {
      const before = from.get(mover) ?? kStop;
      return [mover, Object.fromEntries(kReaches.map((key) => [key, before[key] + t * (move[key] - before[key])]))];
    }));
    if (beyond(to) <= most) return to;
    let [good, bad] = [0, 1];
    for (let i = 0; i < kHalvings; i += 1) {
      const t = (good + bad) / 2;
      if (beyond(between(t)) <= most) good = t; else bad = t;
    }
    return between(good);
  }

  /// By hand: `by_px` is how far the hand went along x and y of the plate (up positive) since the moves were `from`.
  drag(seat, from, by_px) {
    const play = this.play(seat);
    const now = this.now(seat, from);
    const geared = (axis, px) => now[axis] + px * (play[axis][1] - play[axis][0]) / kWholePlay_px;
    this.put(seat, { along: geared('along', by_px[0]), across: geared('across', by_px[1]) }, from);
  }
  turn(seat, from, by_px) {
    const [least, most] = this.play(seat).turn_deg;
    this.put(seat, { turn_deg: this.now(seat, from).turn_deg + by_px * (most - least) / kWholePlay_px }, from);
  }
  back(seat) {
    const own = new Set(this.#moversOf(seat).map(({ mover }) => mover));
    this.moves = new Map([...this.moves].filter(([mover]) => !own.has(mover)));
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
    const seat = seats.find((one) => one.joint === layer.joint);
    if (!seat || !layer.misfit || !this.movedJoints().has(layer.joint)) return [0, 0];
    const now = this.now(seat);
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
