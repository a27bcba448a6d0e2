/**
 * A small reading of RFC 5545 that shares nothing with what writes: it takes bytes, insists on the rules for lines (3.1),
 * names, parameters and values (3.1, 3.3), nesting (3.4, 3.6) and required properties, and throws where one is broken.
 */
export interface Property {
  params: Record<string, string>;
  value: string;
}
export interface Component {
  name: string;
  properties: Record<string, Property[]>;
  components: Component[];
}

const strict = new TextDecoder('utf-8', { fatal: true });

export function readCalendar(bytes: Uint8Array): Component {
  const lines = unfold(bytes);
  const open: Component[] = [];
  let root: Component | null = null;
  for (const line of lines) {
    const { name, params, value } = property(line);
    if (name === 'BEGIN') {
      const component = { name: value, properties: {}, components: [] };
      if (open.length === 0) {
        if (root !== null) throw new Error('more than one object');
        root = component;
      } else open.at(-1)!.components.push(component);
      open.push(component);
    } else if (name === 'END') {
      if (open.pop()?.name !== value) throw new Error(`END:${value} closes nothing`);
    } else {
      const inside = open.at(-1);
      if (inside === undefined) throw new Error(`${name} outside of a component`);
      const list = inside.properties[name] ?? [];
      inside.properties[name] = [...list, { params, value }];
    }
  }
  if (root === null || open.length > 0) throw new Error('not closed');
  check(root);
  return root;
}

/** Lines as octets: no longer than 75, ended by CRLF, folded ones put together before they are read as UTF-8. */
function unfold(bytes: Uint8Array): string[] {
  const lines: number[][] = [];
  let line: number[] = [];
  for (let i = 0; i < bytes.length; i++) {
    const octet = bytes[i]!;
    if (octet === 0x0a) throw new Error('a line feed of its own');
    if (octet !== 0x0d) {
      line.push(octet);
      continue;
    }
    if (bytes[++i] !== 0x0a) throw new Error('a carriage return of its own');
    if (line.length > 75) throw new Error(`a line of ${line.length} octets`);
    // Each physical line is UTF-8 by itself: the fold is never within a character.
    strict.decode(Uint8Array.from(line));
    if (line[0] === 0x20 || line[0] === 0x09) {
      const before = lines.at(-1);
      if (before === undefined) throw new Error('begins with a fold');
      before.push(...line.slice(1));
    } else lines.push(line);
    line = [];
  }
  if (line.length > 0) throw new Error('the last line does not end');
  return lines.map(octets => strict.decode(Uint8Array.from(octets)));
}

function property(line: string): { name: string; params: Record<string, string>; value: string } {
  const match = /^([A-Za-z0-9-]+)((?:;[A-Za-z0-9-]+=(?:[^";:,\p{Cc}]*|"[^"\p{Cc}]*"))*):(.*)$/su.exec(line);
  if (match === null) throw new Error(`no content line: ${line}`);
  const [, name, params, value] = match as unknown as [string, string, string, string];
  if (/\p{Cc}/u.test(value.replaceAll('\t', ''))) throw new Error('a control character');
  const told = params
    .split(';')
    .slice(1)
    .map(one => one.split('=') as [string, string]);
  return { name: name.toUpperCase(), params: Object.fromEntries(told), value };
}

/** 3.3.11: what was meant by a TEXT. */
export function textOf(value: string): string {
  if (/(?<!\\)(\\\\)*[;,]/.test(value)) throw new Error(`not escaped: ${value}`);
  return value.replace(/\\([\\;,nN])|\\(.?)/g, (_all, known: string | undefined, other: string | undefined) => {
    if (known === undefined) throw new Error(`unknown escape \\${other}`);
    return known.toLowerCase() === 'n' ? '\n' : known;
  });
}

function one(component: Component, name: string, form: RegExp): Property {
  const list = component.properties[name] ?? [];
  if (list.length !== 1) throw new Error(`${list.length} ${name} in ${component.name}`);
  if (!form.test(list[0]!.value)) throw new Error(`${name}:${list[0]!.value}`);
  return list[0]!;
}

function check(calendar: Component): void {
  if (calendar.name !== 'VCALENDAR') throw new Error(calendar.name);
  one(calendar, 'VERSION', /^2\.0$/);
  one(calendar, 'PRODID', /./);
  if (calendar.components.length === 0) throw new Error('an empty calendar');
  for (const event of calendar.components) {
    if (event.name !== 'VEVENT') throw new Error(event.name);
    one(event, 'UID', /./);
    one(event, 'DTSTAMP', /^\d{8}T\d{6}Z$/);
    for (const name of ['DTSTART', 'DTEND'])
      if (one(event, name, /^\d{8}$/).params.VALUE !== 'DATE') throw new Error(`${name} is no date`);
    if (event.properties.DTEND![0]!.value <= event.properties.DTSTART![0]!.value)
      throw new Error('ends before it begins');
    for (const alarm of event.components) {
      if (alarm.name !== 'VALARM') throw new Error(alarm.name);
      one(alarm, 'ACTION', /^DISPLAY$/);
      one(alarm, 'DESCRIPTION', /^/);
      one(alarm, 'TRIGGER', /^-?PT?(\d+[WDHMS])+$/);
    }
  }
}
