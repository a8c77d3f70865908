// How finely to draw while turning: at half the pixels each way where whole ones take
// too long, which doubles the pictures per second without a graphics card.

/** Longer than this between two pictures is not smooth; shorter, there is room. Both ms. */
const slow = 40;
const quick = 18;
/** So slow that two pictures tell it, ms. */
const crawling = 160;
/** So many times the choice may change; then it stays. */
const changes = 4;

export class Pace {
  dots: 1 | 0.5 = 1;
  private last = NaN;
  private mean = 0;
  private count = 0;
  private changed = 0;

  /** Notes that a movement begins: the time since the last picture was a rest. */
  begin(): void {
    this.last = NaN;
    this.count = 0;
  }

  /** Notes a picture that is drawn at a time, ms. */
  picture(now: number): void {
    const gap = now - this.last;
    this.last = now;
    if (Number.isNaN(gap)) return;
    this.mean = this.count ? 0.8 * this.mean + 0.2 * gap : gap;
    this.count++;
    const enough = this.mean > crawling ? 2 : 5;
    if (this.count < enough || this.changed >= changes) return;
    const want = this.mean > slow ? 0.5 : this.mean < quick ? 1 : this.dots;
    if (want !== this.dots) {
      this.dots = want;
      this.changed++;
      this.count = 0;
    }
  }
}
