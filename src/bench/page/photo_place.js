// SPDX-FileCopyrightText: 2026 The Fairhole developers
// SPDX-License-Identifier: Apache-2.0
// Where the face lies under its pictures: the part's datum corner and its long datum edge, pressed on the flat picture.

const kPress_mm = 1.5;  // how well a press on a picture is placed, 1 sigma
const kDegree = 180 / Math.PI;

/// Board to face, as the job's `at` says: turn * (mirror y) * p + (x, y).
export function toFace(at) {
  const [c, s, m] = [Math.cos((at?.turn_deg ?? 0) / kDegree), Math.sin((at?.turn_deg ?? 0) / kDegree), at?.mirrored ? -1 : 1];
  return ([x, y]) => [c * x - s * m * y + (at?.x ?? 0), s * x + c * m * y + (at?.y ?? 0)];
}

export function toBoard(at) {
  const [c, s, m] = [Math.cos((at?.turn_deg ?? 0) / kDegree), Math.sin((at?.turn_deg ?? 0) / kDegree), at?.mirrored ? -1 : 1];
  return ([x, y]) => {
    const [dx, dy] = [x - (at?.x ?? 0), y - (at?.y ?? 0)];
    return [c * dx + s * dy, m * (-s * dx + c * dy)];
  };
}

/// The `at` by which the datum corner lies at `corner` of the board and the long datum edge runs towards `far`.
export function placeFrom(corner, far, mirrored) {
  const bearing = Math.atan2(far[1] - corner[1], far[0] - corner[0]);
  const turn = mirrored ? bearing : -bearing;
  const at = { x: 0, y: 0, turn_deg: turn * kDegree, mirrored };
  const [x, y] = toFace(at)(corner);
  const length = Math.hypot(far[0] - corner[0], far[1] - corner[1]);
  return { x: -x, y: -y, turn_deg: turn * kDegree, sigma: kPress_mm, turn_sigma_deg: Math.min(15, Math.max(0.2, Math.SQRT2 * kPress_mm / length * kDegree)) };
}

/// Two presses, one after the other.
export class Placing {
  constructor(set) { this.set = set; }

  begin() { this.corner = null; }

  words() {
    return this.corner ? 'Now press a point of the long datum edge, as far from the corner as the picture shows it.'
      : 'Press the part\'s datum corner, where both datum edges meet; look closer first.';
  }

  async press(at) {
    if (!this.corner) {
      this.corner = at;
      this.set.draw();
      return;
    }
    const { answer } = this.set;
    const place = placeFrom(this.corner, at, answer.at?.mirrored ?? false);
    this.corner = null;
    this.set.tool = 'look';
    await this.set.change('laid on the part\'s edges', (own, _, job) => {
      const mm = (value) => (job.units === 'in' ? `${value.toFixed(1)} mm` : Number(value.toFixed(1)));
      own.at = { x: mm(place.x), y: mm(place.y), turn_deg: Number(place.turn_deg.toFixed(2)), sigma: mm(place.sigma), turn_sigma_deg: Number(place.turn_sigma_deg.toFixed(2)) };
    });
  }
}
