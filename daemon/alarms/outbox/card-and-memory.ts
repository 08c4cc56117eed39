// Two memories that say the same, one on the card and one in the process. What is written is on the card before the call
// returns; while the card takes nothing (full, read-only, failing, locked) the process alone has it, and the alarms go on.

import { faultCode, faultInWords } from "../../stores/sqlite/fault.ts";
import { type Card, openCard } from "./card.ts";
import { type Deed, statementsOf } from "./deed.ts";
import { createMemory, type Memory } from "./memory.ts";
import { addRows, inMemory, newIdentity, setAside, UnusableFile } from "./outbox-file.ts";
import { prepared, run, type Statement } from "./statement.ts";

export interface CardAndMemory {
  /** To be asked; changed by `write` alone. */
  readonly memory: Memory;
  /** Does the same to both. */
  write(deeds: readonly Deed[]): void;
  /** What is written during the work goes onto the card in one piece, at its end. */
  together<Result>(work: () => Result): Result;
  /**
   * Puts on the card what the work does, as if it were so: after a power cut it is. In memory, and for whoever asks, nothing
   * has happened before it is confirmed.
   *
   * @returns null, and nothing is done, where the work gives null or the card does not take it at once
   */
  ahead<Result>(work: () => Result | null): Ahead<Result> | null;
  /** Tries to bring to the card what it has not taken. */
  retry(): void;
  /** Why the card does not have everything at once; null while it does. */
  problem(): string | null;
  /** Under this name no other outbox has numbered messages. */
  identity(): string;
  close(): void;
}

/** What is on the card ahead of its time. It is taken back by whatever is written before it is confirmed. */
export interface Ahead<Result> {
  readonly result: Result;
  /** False: it was taken back before, and is to be written as anything else. */
  stands(): boolean;
  /** It is so. */
  confirm(): void;
  takeBack(): void;
}

export interface CardOptions {
  readonly now_s: () => number;
  log(line: string): void;
  /** A card over which one write takes longer is not waited for. */
  readonly slowAfter_ms?: number;
}

/** At the start there is time to wait for whoever has the file; later nothing may stand still for it. */
const atStart_ms = 2000;
const later_ms = 50;
/** The database takes what is on slips when the messages have left. */
const foldAfter_ms = 200;
/** So long after a write that took too long. */
const slowFor_s = 3600;

/**
 * Never throws for a file that cannot be used: nobody would be watching then.
 *
 * @param path null: of what need not last there is no card
 */
export function openCardAndMemory(
  path: string | null,
  { now_s, log, slowAfter_ms = 2000 }: CardOptions,
): CardAndMemory {
  const memory = createMemory();
  /** Until the file has told one. */
  const ownIdentity = newIdentity();
  let card: Card | null = null;
  /** Whether memory has what the file had. */
  let isLoaded = false;
  let problem: string | null = null;
  let slow: { readonly words: string; readonly at_s: number } | null = null;
  let gathered: Statement[] = [];
  let depth = 0;
  /** Of the work that is done ahead just now. */
  let foreseen: Deed[] | null = null;
  /** The one that is on the card ahead of its time. */
  let open: object | null = null;
  let foldTimer: NodeJS.Timeout | undefined;

  function takeUp(wait_ms: number): void {
    if (path === null) return;
    try {
      card = openCard(path, wait_ms);
      const isAsMemory = isLoaded || load(card);
      if (!isAsMemory || card.late.length > 0 || problem !== null) card.bringUp(memory.statements());
    } catch (error) {
      letGo();
      if (!(error instanceof UnusableFile) && faultCode(error) !== 11) throw error;
      const aside = setAside(path, now_s());
      const why = (error instanceof Error ? error.message : String(error)).replaceAll(/\s*\n\s*/g, " ");
      log(`alarms: ${path} cannot be used: ${why}. It stands aside as ${aside}; a new one was begun`);
      // Numbers that people may have been given in lost messages are not given again.
      memory.skipNumbers(1000);
      if (memory.note("identity") === null) memory.do({ is: "note", name: "identity", value: ownIdentity });
      isLoaded = true;
      card = openCard(path, wait_ms);
      card.bringUp(memory.statements());
    }
  }

  /** What the card has goes into memory. @returns whether it has the same */
  function load({ database, late }: Card): boolean {
    const found = inMemory();
    try {
      const unread = addRows(database, found);
      run(prepared(found), late);
      const { isWhole, isSame } = memory.takeIn(found, now_s());
      if (unread > 0 || !isWhole) throw new UnusableFile("it is damaged");
      isLoaded = true;
      return isSame;
    } finally {
      found.close();
    }
  }

  function hold(error: unknown): void {
    const found = faultInWords(error) ?? (error instanceof Error ? error.message : String(error));
    if (problem !== found) log(`alarms: cannot write ${path}: ${found}; held in memory until it can be`);
    problem = found;
    letGo();
  }

  function letGo(): void {
    clearTimeout(foldTimer);
    foldTimer = undefined;
    open = null;
    const given = card;
    card = null;
    try {
      given?.close();
    } catch {
      // Its fault has been said.
    }
  }

  /** @param work what may find that the card takes nothing */
  function withCard(work: (card: Card) => void): void {
    if (card === null) return;
    try {
      work(card);
    } catch (error) {
      hold(error);
    }
  }

  function flush(): void {
    const statements = gathered;
    gathered = [];
    if (statements.length === 0) return;
    const begun_ms = performance.now();
    withCard((each) => {
      each.put(statements);
      foldSoon();
    });
    noteTime(performance.now() - begun_ms);
  }

  function foldSoon(): void {
    foldTimer ??= setTimeout(fold, foldAfter_ms).unref();
  }

  function fold(): void {
    foldTimer = undefined;
    withCard((each) => each.fold());
  }

  function takeBack(): void {
    if (open === null) return;
    open = null;
    withCard((each) => each.put([]));
    foldSoon();
  }

  function putAhead(deeds: readonly Deed[]): boolean {
    let isThere = path === null;
    const begun_ms = performance.now();
    withCard((each) => {
      isThere = each.putAhead(deeds.flatMap(statementsOf));
    });
    noteTime(performance.now() - begun_ms);
    return isThere;
  }

  function noteTime(took_ms: number): void {
    if (took_ms < slowAfter_ms) {
      if (slow !== null) log("alarms: the card is quick again");
      slow = null;
      return;
    }
    const words = `the card took ${(took_ms / 1000).toFixed(1)} s over one write; what is new is told first and written afterwards. A card that stays so slow is worn out or failing: put in another`;
    if (slow === null) log(`alarms: ${words}`);
    slow = { words, at_s: now_s() };
  }

  const slowness = () => (slow !== null && Math.abs(now_s() - slow.at_s) < slowFor_s ? slow.words : null);

  /** At once; on a card that keeps everybody waiting, when the messages have left. */
  function conclude(): void {
    if (depth > 0) return;
    if (slowness() === null) flush();
    else setImmediate(flush);
  }

  try {
    takeUp(atStart_ms);
  } catch (error) {
    hold(error);
    // What stands in a file that cannot be read has numbers, too.
    if (!isLoaded) memory.skipNumbers(100_000);
  }
  return {
    memory,
    write(deeds) {
      for (const deed of deeds) memory.do(deed);
      if (foreseen !== null) {
        foreseen.push(...deeds);
        return;
      }
      const statements = deeds.flatMap(statementsOf);
      if (statements.length === 0) return;
      open = null; // on the card, what is written takes its place
      gathered.push(...statements);
      conclude();
    },
    ahead(work) {
      const isTaken = path === null || (card !== null && problem === null && slowness() === null);
      if (!isTaken || depth > 0) return null;
      takeBack();
      const deeds: Deed[] = [];
      foreseen = deeds;
      let result: ReturnType<typeof work>;
      try {
        result = memory.tentatively(work);
      } finally {
        foreseen = null;
      }
      if (result === null || !putAhead(deeds)) return null;
      const own = {};
      open = own;
      return {
        result,
        stands: () => open === own,
        confirm() {
          if (open !== own) throw new Error("outbox: what was taken back is confirmed");
          open = null;
          for (const deed of deeds) memory.do(deed);
          withCard((each) => each.confirm());
          foldSoon();
        },
        takeBack() {
          if (open === own) takeBack();
        },
      };
    },
    together(work) {
      depth++;
      try {
        return work();
      } finally {
        depth--;
        conclude();
      }
    },
    retry() {
      if (card?.isGone()) hold(new Error("the file was taken away while it was in use"));
      if (problem === null) return;
      try {
        takeUp(later_ms);
        log(`alarms: ${path} is written again`);
        problem = null;
      } catch (error) {
        hold(error);
      }
    },
    problem: () => problem ?? slowness(),
    identity: () => memory.note("identity") ?? ownIdentity,
    close() {
      takeBack();
      flush();
      fold();
      if (problem !== null) log(`alarms: closed while ${path} could not be written: ${problem}`);
      letGo();
    },
  };
}
