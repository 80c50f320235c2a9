"""tarnd for a test in Python."""
import json
import os
import socket
import subprocess
import time


class Daemon:
    """tarnd on a clock of its own, and one connection to it."""

    def __init__(self, tarnd, crops, folder, text):
        room = os.path.join(folder, "room.yaml")
        path = os.path.join(folder, "s")
        with open(room, "w", encoding="utf-8") as f:
            f.write(text)
        self.log = open(os.path.join(folder, "log"), "w+", encoding="utf-8")
        self.process = subprocess.Popen(
            [tarnd, "--room", room, "--state", os.path.join(folder, "state"), "--socket", path,
             "--crops", crops, "--simulate", "2026-03-01T07:00"], stderr=self.log)
        deadline = time.monotonic() + 60
        self.socket = socket.socket(socket.AF_UNIX)
        while True:
            try:
                self.socket.connect(path)
                break
            except OSError:
                if self.process.poll() is not None or time.monotonic() > deadline:
                    self.log.seek(0)
                    raise SystemExit("tarnd does not start: " + self.log.read())
                time.sleep(0.02)
        self.lines = self.socket.makefile("r", encoding="utf-8")

    def call(self, method, **params):
        """The whole reply."""
        call = {"jsonrpc": "2.0", "id": 1, "method": method, "params": params}
        self.socket.sendall((json.dumps(call) + "\n").encode())
        return json.loads(self.lines.readline())

    def ask(self, method, **params):
        """The result; an error ends the test."""
        reply = self.call(method, **params)
        if "error" in reply:
            raise SystemExit(f"{method} {params}: {reply['error']['message']}")
        return reply["result"]

    def end(self):
        self.socket.close()
        self.process.terminate()
        self.process.wait()
        self.log.close()
