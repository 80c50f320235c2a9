"""Validates answers of the daemon: one JSON object a line, {"def": NAME, "answer": …}, on standard input.

usage: check_schema.py answers.schema.json
"""
import json
import sys

import jsonschema


def main():
    with open(sys.argv[1], encoding="utf-8") as f:
        schema = json.load(f)
    jsonschema.Draft202012Validator.check_schema(schema)
    wrong = 0
    n = 0
    for line in sys.stdin:
        told = json.loads(line)
        n += 1
        one = {"$schema": schema["$schema"], "$defs": schema["$defs"], "$ref": "#/$defs/" + told["def"]}
        for error in jsonschema.Draft202012Validator(one).iter_errors(told["answer"]):
            wrong += 1
            where = "/".join(str(p) for p in error.absolute_path)
            print(f"{told['def']}: {where}: {error.message[:300]}")
    print(f"{n} answers, {wrong} faults")
    return 1 if wrong or n == 0 else 0


if __name__ == "__main__":
    sys.exit(main())
