/**
 * From events to where a making stands: the same fold as pegwright/library/making.py.
 *
 * Events are only ever added, and the state follows from their set: neither order nor repetition
 * matters, so two devices that exchange their events come to the same state with no row lost and
 * none counted twice.
 *
 * @typedef {{id: string, device: string, counter: number, at: string, text: string,
 *   kind: "row"|"step"|"note"|"weigh"|"undo", piece?: string, rows?: number, step?: number,
 *   done?: boolean, yarn?: string, grams?: number, undoes?: string}} FollowEvent
 * @typedef {{rows: Record<string, number>, rowsByDevice: Record<string, number>, steps: number[],
 *   notes: FollowEvent[], weighings: FollowEvent[], last: ?FollowEvent,
 *   counters: Record<string, number>, events: number}} FollowState
 */

const OWN_FIELDS = {
  row: { piece: "", rows: 0 },
  step: { step: 0, done: true },
  weigh: { yarn: "", grams: 0 },
  undo: { undoes: "" },
  note: {},
};

/** An event with the fields of its kind only. @param {any} event @returns {FollowEvent} */
export function eventFrom(event) {
  const { id, device, counter, at, kind, text = "" } = event;
  const made = { id, device, counter, at, kind, text };
  for (const [name, usual] of Object.entries(OWN_FIELDS[kind])) made[name] = event[name] ?? usual;
  return made;
}

/** Texts by their code points, as Python compares them. @param {string} a @param {string} b */
export function compareTexts(a, b) {
  const one = Array.from(a), other = Array.from(b);
  const shorter = Math.min(one.length, other.length);
  for (let at = 0; at < shorter; at += 1) {
    const apart = one[at].codePointAt(0) - other[at].codePointAt(0);
    if (apart) return apart;
  }
  return one.length - other.length;
}

/** In the order in which the library compares events that are of one moment and counter. */
const ORDER = ["at", "device", "counter", "id", "kind", "text",
  "piece", "rows", "step", "done", "yarn", "grams", "undoes"];

function compareEvents(a, b) {
  for (const field of ORDER) {
    const one = a[field], other = b[field];
    if (one === other || one === undefined || other === undefined) continue;
    return typeof one === "string" ? compareTexts(one, other) : Number(one) - Number(other);
  }
  return 0;
}

/** The same for events that say the same in every field, and for no others. */
export function eventKey(event) {
  const own = eventFrom(event);
  return JSON.stringify(ORDER.map((field) => own[field] ?? null));
}

/**
 * All events of all sets, each once, in order.  Should two different events bear one id, which no
 * sound device writes, both are kept.
 * @param {...FollowEvent[]} sets
 */
export function merged(...sets) {
  /** @type {Map<string, FollowEvent>} */
  const known = new Map();
  for (const events of sets) for (const event of events) known.set(eventKey(event), eventFrom(event));
  return [...known.values()].sort(compareEvents);
}

/** What is neither an undo nor undone, in order. @param {FollowEvent[]} events */
export function standing(events) {
  const known = merged(events);
  const undone = new Set(known.filter((e) => e.kind === "undo").map((e) => e.undoes));
  return known.filter((e) => e.kind !== "undo" && !undone.has(e.id));
}

/** The latest event of one device that still stands: what its undo takes back. */
export function lastOf(device, events) {
  return standing(events).findLast((event) => event.device === device) ?? null;
}

/** The state that a set of events comes to. @param {FollowEvent[]} events @returns {FollowState} */
export function stateOf(events) {
  const known = merged(events);
  const left = standing(known);
  const rows = {}, rowsByDevice = {}, counters = {};
  /** @type {Map<number, boolean>} */
  const ticked = new Map();
  for (const event of left) {
    if (event.kind === "row") {
      rows[event.piece] = (rows[event.piece] ?? 0) + event.rows;
      rowsByDevice[event.device] = (rowsByDevice[event.device] ?? 0) + event.rows;
    } else if (event.kind === "step") {
      ticked.set(event.step, event.done);
    }
  }
  for (const event of known) {
    counters[event.device] = Math.max(event.counter, counters[event.device] ?? 0);
  }
  for (const piece of Object.keys(rows)) rows[piece] = Math.max(rows[piece], 0);
  return {
    rows,
    rowsByDevice,
    steps: [...ticked].filter(([, done]) => done).map(([step]) => step).sort((a, b) => a - b),
    notes: left.filter((event) => event.kind === "note"),
    weighings: left.filter((event) => event.kind === "weigh"),
    last: left.at(-1) ?? null,
    counters,
    events: known.length,
  };
}

/** Of each device the counter up to which none of its events is missing. */
export function seen(events) {
  /** @type {Map<string, Set<number>>} */
  const counters = new Map();
  for (const event of events) {
    if (!counters.has(event.device)) counters.set(event.device, new Set());
    counters.get(event.device).add(event.counter);
  }
  const upto = {};
  for (const [device, known] of counters) {
    let number = 0;
    while (known.has(number + 1)) number += 1;
    upto[device] = number;
  }
  return upto;
}

/** The events that someone who has seen so much does not have. */
export function missing(events, upto) {
  return merged(events).filter((event) => event.counter > (upto[event.device] ?? 0));
}
