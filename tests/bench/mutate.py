#!/usr/bin/env python3
"""How much do the quick tests notice?

    python3 tests/bench/mutate.py [--count 100] [--seed 1] [--under daemon/core,daemon/store]
                                  [--sanitize] [--out FILE]

Changes one line of the source at a time: a comparison, a sign, a constant, true for false, fmax for
fmin, a statement that is dropped. Builds it, runs tests/unit and tests/published, and counts the
changes after which one of them fails. It works on a clone of what is committed. What no test noticed
is printed, and with --out every change is written as a line of JSON; a few change nothing that
anybody could see. --sanitize builds with ASan and UBSan, for changes that step beyond an array."""
import argparse
import glob
import json
import os
import pathlib
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
LIBS = '-luv -ljansson -lsqlite3 -lyaml -lnettle -lcmocka -lgsl -lgslcblas -lm -lpthread'.split()
FLIPPED = {'<': '<=', '<=': '<', '>': '>=', '>=': '>', '==': '!=', '!=': '==', '&&': '||', '||': '&&',
           '+': '-', '-': '+', '*': '/', '/': '*', 'true': 'false', 'false': 'true',
           'fmax': 'fmin', 'fmin': 'fmax'}
FLIPS = re.compile(r' (?P<c><=|>=|==|!=|<|>|&&|\|\|) | (?P<a>[+\-*/]) (?=[\w(])|\b(?P<w>true|false)\b'
                   r'|\b(?P<f>fmax|fmin)\(')
CONSTANT = re.compile(r'#define\s+\w+\s+\(?(-?[\d.]+(?:e-?\d+)?)')
STATEMENT = re.compile(r'\s+(?!free|va_|return|const |int |double |size_t |struct |bool |char |int64_t '
                       r'|int32_t |enum )[\w\->.\[\]]+( ?(=|\+=|-=) .*|\(.*\)|\+\+|--);$')
TEST_S = 60  # a change that makes a test run for ever is noticed


def run(command, **how):
    return subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, **how)


class Bench:
    """A clone, its objects as one library, and the test programs beside it."""

    def __init__(self, sanitize):
        self.dir = tempfile.mkdtemp(prefix='mutants-')
        subprocess.run(['git', 'clone', '-q', str(ROOT), self.dir + '/r'], check=True)
        os.chdir(self.dir + '/r')
        os.makedirs('o')
        os.makedirs('t')
        asan = ['-fsanitize=address,undefined', '-fno-sanitize-recover=all'] if sanitize else []
        self.flags = ['-std=gnu17', '-D_GNU_SOURCE', '-DTARN_VERSION="0"',
                      f'-DTARN_SOURCE_DIR="{os.getcwd()}"', '-I.', '-O1', '-fPIC', '-w', *asan]
        self.libs = [*asan, *LIBS]
        self.sources = [f for top in ('daemon', 'config', 'cli')
                        for f in glob.glob(top + '/**/*.c', recursive=True) if not f.endswith('main.c')]
        for f in self.sources:
            if not self.compile(f):
                sys.exit(f'{f} does not compile')
        if not self.link():
            sys.exit('it does not link')
        self.took = {}
        for f in sorted(glob.glob('tests/unit/*.c') + glob.glob('tests/published/*.c')):
            self.add_test(f)
        if not self.took:
            sys.exit('no test runs against the library as it is')

    def object_of(self, f):
        return 'o/' + f.replace('/', '_') + '.o'

    def compile(self, f):
        return run(['gcc', *self.flags, '-c', f, '-o', self.object_of(f)]).returncode == 0

    def link(self):
        return run(['gcc', '-shared', '-o', 'libtarn.so', *glob.glob('o/*.o'), *self.libs]).returncode == 0

    def add_test(self, f):
        """Left out, with a word: what needs more than the library, or fails unchanged."""
        program = 't/' + pathlib.Path(f).stem
        made = run(['gcc', *self.flags, f, '-o', program, '-L.', '-ltarn', f'-Wl,-rpath,{os.getcwd()}',
                    *self.libs])
        began = time.monotonic()
        if made.returncode or run(['../' + program], cwd='tests').returncode:
            print(f'left out: {f}')
            return
        self.took['../' + program] = time.monotonic() - began

    def who_notices(self, f):
        """Tests named like the file first, then the quick ones."""
        words = pathlib.Path(f).stem.split('_')
        order = sorted(self.took, key=lambda t: (-sum(w in t for w in words), self.took[t]))
        for t in order:
            try:
                if run([t], cwd='tests', timeout=TEST_S).returncode:
                    return pathlib.Path(t).name
            except subprocess.TimeoutExpired:
                return pathlib.Path(t).name
        return ''

    def try_change(self, f, at, line):
        """The test that noticed, '' for none, None for what does not compile."""
        text = pathlib.Path(f).read_text()
        lines = text.split('\n')
        lines[at] = line
        pathlib.Path(f).write_text('\n'.join(lines))
        who = self.who_notices(f) if self.compile(f) and self.link() else None
        pathlib.Path(f).write_text(text)
        self.compile(f)
        return who


def without_words(line):
    """The line with its comment gone and the insides of its strings blotted out, columns as they were."""
    line = re.sub(r'/\*.*?\*/', lambda m: ' ' * len(m.group()), line).split('/*')[0]
    return re.sub(r'"(\\.|[^"\\])*"', lambda m: '"' + '_' * (len(m.group()) - 2) + '"', line)


def changes_of(line):
    code = without_words(line)
    if not code.strip() or code.strip().startswith(('*', '#include')):
        return
    for m in FLIPS.finditer(code):
        what = m.lastgroup
        yield line[:m.start(what)] + FLIPPED[m.group(what)] + line[m.end(what):]
    m = CONSTANT.match(code)
    if m:
        v = m.group(1)
        half_more = repr(float(v) * 1.5) if '.' in v or 'e' in v else str(int(v) + max(1, abs(int(v)) // 2))
        yield line[:m.start(1)] + half_more + line[m.end(1):]
    if STATEMENT.match(code):
        yield line[:len(line) - len(line.lstrip())] + ';'


def main():
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    options.add_argument('--count', type=int, default=100)
    options.add_argument('--seed', type=int, default=1)
    options.add_argument('--under', default='daemon/core,daemon/store')
    options.add_argument('--sanitize', action='store_true')
    options.add_argument('--out', type=argparse.FileType('w'))
    o = options.parse_args()
    bench = Bench(o.sanitize)
    under = tuple(u + '/' for u in o.under.split(','))
    candidates = [(f, at, new) for f in sorted(bench.sources) if f.startswith(under)
                  for at, line in enumerate(pathlib.Path(f).read_text().split('\n'))
                  for new in changes_of(line) if new != line]
    random.Random(o.seed).shuffle(candidates)
    print(f'{len(bench.took)} test programs, {len(candidates)} changes to choose from', flush=True)
    seen, tried, noticed = set(), 0, 0
    for f, at, new in candidates:
        if tried == o.count:
            break
        if (f, at) in seen:
            continue
        seen.add((f, at))
        old = pathlib.Path(f).read_text().split('\n')[at].strip()
        who = bench.try_change(f, at, new)
        if who is None:
            continue
        tried += 1
        noticed += bool(who)
        if o.out:
            print(json.dumps(dict(file=f, line=at + 1, old=old, new=new.strip(), noticed=who)), file=o.out,
                  flush=True)
        if not who:
            print(f'unnoticed  {f}:{at + 1}: {old}  ->  {new.strip()}', flush=True)
    shutil.rmtree(bench.dir)
    print(f'{noticed} of {tried} noticed, {100 * noticed / max(tried, 1):.0f} %')


if __name__ == '__main__':
    main()
