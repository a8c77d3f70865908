// The element's words: the server's table over the English one.

import english from "../words/en.json";

export type Word = keyof typeof english;
export type Table = Partial<Record<Word, string>>;

export class Words {
  constructor(
    private readonly table: Table = {},
    readonly lang = "en",
  ) {}

  /** A word, with {n} and the like filled in. */
  say(key: Word, fill: Record<string, string | number> = {}): string {
    let s = this.table[key] ?? english[key];
    for (const [k, v] of Object.entries(fill)) s = s.replace(`{${k}}`, typeof v === "number" ? this.number(v) : v);
    return s;
  }

  /** A number as this language writes it. */
  number(x: number, digits = 2): string {
    return new Intl.NumberFormat(this.lang, { maximumFractionDigits: digits }).format(x);
  }
}
