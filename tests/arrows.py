#!/usr/bin/env python3
"""The arrows of the house, from the tarn_room lines of CMakeLists.txt.

    arrows.py check     every #include follows an arrow, none runs in a circle, none is drawn in vain
    arrows.py picture   the picture for DEVELOPERS.md"""
import pathlib
import re
import sys

ROOT = pathlib.Path(__file__).resolve().parent.parent
LIBRARY_OF = {'uv.h': 'UV', 'sqlite3.h': 'SQLITE', 'yaml.h': 'YAML', 'jansson.h': 'JANSSON',
              'nettle/sha2.h': 'NETTLE'}
# The model asks neither the disk nor the clock: every rule can be tried without a daemon.
CORE_NEVER = re.compile(r'(?<![_a-z>.])(?:time|gettimeofday|clock_gettime|printf|fopen|getenv)\(')


def rooms():
    """folder -> what it may use, in the order in which CMakeLists.txt has them."""
    text = re.sub(r'#.*', '', (ROOT / 'CMakeLists.txt').read_text())
    return {words[0]: words[1:]
            for words in (m.split() for m in re.findall(r'^tarn_room\(([^)]*)\)', text, re.M))}


def room_of(path, house):
    """The innermost room that a file lies in; None for a main.c, which is a program and no room."""
    if path.endswith('main.c'):
        return None
    return max((r for r in house if path.startswith(r + '/')), key=len, default=None)


def faults_of_file(path, house, used):
    room = room_of(path, house)
    text = (ROOT / path).read_text()
    for line, words in enumerate(text.split('\n'), 1):
        where = f'{path}:{line}'
        ours = re.match(r'#include "(.*)"', words)
        theirs = re.match(r'#include <(.*)>', words)
        if room.startswith('daemon/core') and CORE_NEVER.search(words):
            yield f'{where}: the core does no I/O and asks nobody for the time: {words.strip()}'
        if ours:
            to = room_of(ours.group(1), house)
        elif theirs:
            to = LIBRARY_OF.get(theirs.group(1))
        else:
            continue
        if to is None or to == room:
            continue
        used.add((room, to))
        if to not in house[room]:
            yield f'{where}: {room} may not use {to}; its tarn_room line in CMakeLists.txt says what it may'


def circles_of_files(files):
    """Files of one room that include each other in a circle; x.c and x.h are one."""
    module = {f: f.rsplit('.', 1)[0] for f in files}
    arrows = {}
    for f in files:
        for to in re.findall(r'^#include "(.*)\.h"', (ROOT / f).read_text(), re.M):
            if to != module[f]:
                arrows.setdefault(module[f], set()).add(to)
    state = {}

    def visit(m, path):
        if state.get(m) == 'done':
            return
        if state.get(m) == 'open':
            yield 'a circle: ' + ' -> '.join(path[path.index(m):] + [m])
            return
        state[m] = 'open'
        for to in sorted(arrows.get(m, ())):
            yield from visit(to, path + [m])
        state[m] = 'done'

    for m in sorted(arrows):
        yield from visit(m, [])


def check():
    house = rooms()
    files = sorted(str(p.relative_to(ROOT)) for top in ('daemon', 'config', 'cli', 'tests/sim')
                   for p in (ROOT / top).rglob('*.[ch]'))
    used = set()
    faults = []
    seen = []
    for room, uses in house.items():
        faults += [f'{room} uses {u}, which is no room above it in CMakeLists.txt'
                   for u in uses if '/' in u and u not in seen]
        seen.append(room)
    for f in files:
        if room_of(f, house):
            faults += faults_of_file(f, house, used)
        elif not f.endswith('main.c'):
            faults.append(f'{f} lies in no room')
    faults += [f'{room} has an arrow to {u} and includes nothing of it'
               for room, uses in house.items() for u in uses
               if ('/' in u or u in LIBRARY_OF.values()) and (room, u) not in used]
    faults += circles_of_files(files)
    if picture() not in (ROOT / 'DEVELOPERS.md').read_text():
        faults.append('DEVELOPERS.md shows another house; paste what tests/arrows.py picture prints')
    print('\n'.join(faults) or f'{len(files)} files in {len(house)} rooms: no arrow back, no circle')
    return 1 if faults else 0


def picture():
    """A line a room, the ground floor last: its folder, and what it includes."""
    short = lambda r: re.sub(r'^daemon/(core/|serve/)?', '', r)
    lines = []
    for room, uses in reversed(rooms().items()):
        ours = ' '.join(short(u) for u in uses if '/' in u)
        theirs = ' '.join(u.lower() for u in uses if '/' not in u and u not in ('libm', 'pthread'))
        line = f"    {room + '/':<20} -> {ours or 'libc alone'}" + (f' + {theirs}' if theirs else '')
        while len(line) > 100:
            cut = line.rindex(' ', 0, 100)
            lines.append(line[:cut])
            line = ' ' * 24 + line[cut + 1:]
        lines.append(line)
    return '\n'.join(lines)


if __name__ == '__main__':
    if sys.argv[1:] == ['check']:
        sys.exit(check())
    print(picture())
