# install_inside.sh - run as root by the container of install.sh: installs as the README says, and looks
# at tarn as its grower and as a stranger. Ends with "all is well", or with what is not.
set -u

bad=0
check() { # check WHAT COMMAND...: it has to succeed
    what=$1
    shift
    if "$@" >/tmp/out 2>&1; then
        echo "ok      $what"
    else
        echo "NOT OK  $what: $* (ended with $?)"
        sed 's/^/        /' /tmp/out
        bad=$((bad + 1))
    fi
}

refuse() { # refuse WHAT COMMAND...: it has to fail
    what=$1
    shift
    if "$@" >/tmp/out 2>&1; then
        echo "NOT OK  $what: it went through: $*"
        sed 's/^/        /' /tmp/out
        bad=$((bad + 1))
    else
        echo "ok      $what"
        sed -n '1s/^/        /p' /tmp/out
    fi
}

grower() { su - grower -c "$1"; }
stranger() { su - stranger -c "$1"; }
says() { grower "$1" | grep -e "$2"; }  # the answer has such a line
silent() { ! "$@" 2>&1 | grep -v '^$'; } # it has nothing to say
value() { systemctl show --property "$1" --value "$2"; }
soon() { # soon COMMAND...: within ten seconds
    tries=0
    until "$@"; do
        tries=$((tries + 1))
        [ "$tries" -lt 100 ] || return 1
        sleep 0.1
    done
}
is_new_run() { [ "$(value MainPID tarnd)" -gt 1 ] && [ "$(value MainPID tarnd)" != "$1" ]; }

# Every line by itself, as it is typed; the first that fails is named.
set_up() {
    su - grower -c 'cd tarn && while IFS= read -r line; do
        echo "\$ $line"
        sh -c "$line" </dev/null || { echo "ended with $?: $line"; exit 1; }
    done <../readme.sh'
}

check "the README's lines go through" set_up
[ "$bad" -eq 0 ] || { echo "nothing more can be looked at"; exit 1; }
grep -A1 '^\$ tarnd --check' /tmp/out | sed 's/^/        /'

check "the service runs" systemctl is-active --quiet tarnd
check "it is started at boot" systemctl is-enabled --quiet tarnd
check "a member of the group asks" says 'tarn status' attic
check "the demo room has its day" says 'tarn today' 'fill: reservoir'
check "a mix is worked out" says 'tarn mix fruit 30L 1.4mS/cm' calcium-part
check "a member of the group tells" grower "tarn record note T1 --note 'told in the container'"
check "what was told is there" says 'tarn log' 'told in the container'
check "and says who told it" says 'tarn log' '(grower)'
refuse "a stranger does not ask" stranger 'tarn status'
refuse "a stranger does not tell" stranger "tarn record note T1 --note 'from a stranger'"
refuse "a stranger's words are not there" says 'tarn log' 'from a stranger'
refuse "a stranger does not read the journal" stranger 'cat /var/lib/tarn/tarn.db'

check "it restarts" systemctl restart tarnd
check "and runs" systemctl is-active --quiet tarnd
check "what was told is still there" says 'tarn log' 'told in the container'
check "it reads its room again" systemctl reload tarnd
check "and answers" says 'tarn status' attic
before=$(value MainPID tarnd)
kill -9 "$before"
check "it comes back when it is killed" soon is_new_run "$before"
check "with what was told" soon says 'tarn log' 'told in the container'
check "no start failed" test "$(value Result tarnd)" = success

# What holds it: the manager's own measure, and a look from where the daemon stands.
check "systemd finds little exposed" systemd-analyze security --no-pager --threshold=3 tarnd
systemd-analyze security --no-pager tarnd | tail -n 1 | sed 's/^/        /'
root=/proc/$(value MainPID tarnd)/root
check "it sees its room file" test -r "$root/etc/tarn/room.yaml"
check "and its journal" test -f "$root/var/lib/tarn/tarn.db"
refuse "it sees no homes" ls "$root/home/grower" "$root/root/said"
refuse "nor what else lies in /var and /run" ls "$root/var/log/wtmp" "$root/run/systemd/system"

check "it stops" systemctl stop tarnd
check "the socket listens in its place" systemctl enable --now --quiet tarnd.socket
check "and starts it when somebody asks" says 'tarn status' attic
check "it runs then" systemctl is-active --quiet tarnd

sed 's/^  name: attic/  name: cellar/; s/day_start: "07:00"/day_start: "00:00"/' /etc/tarn/room.yaml >/etc/tarn/second.yaml
echo 'notify: [/etc/tarn/told]' >>/etc/tarn/second.yaml
cat >/etc/tarn/told <<'TOLD'
#!/bin/sh
{ cat; env; touch /usr/x /etc/x /var/x 2>&1; ls -d /home; } >>/var/lib/tarn-second/told 2>&1
TOLD
chmod 755 /etc/tarn/told
check "a second room runs beside it" systemctl enable --now --quiet tarnd@second
check "and has its own socket" says 'TARN_SOCKET=/run/tarn-second/tarn.sock tarn status' cellar
refuse "and its own journal" says 'TARN_SOCKET=/run/tarn-second/tarn.sock tarn log' 'told in the container'

check "its notify command is told of the day" soon grep -q '"event":"day"' /var/lib/tarn-second/told
check "it can write nowhere else" soon sh -c \
    'test "$(grep -c -e "Read-only file system" -e "ermission denied" /var/lib/tarn-second/told)" -ge 3'
check "it has no homes" soon grep -q "cannot access '/home'" /var/lib/tarn-second/told
refuse "it has none of the service manager's variables" \
    grep -E '^(NOTIFY_SOCKET|WATCHDOG_|LISTEN_|INVOCATION_ID|JOURNAL_STREAM)' \
    /var/lib/tarn-second/told

# The drop-in of tarnd(8).
mkdir -p /media/stick /etc/systemd/system/tarnd@second.service.d
chown tarn: /media/stick
refuse "it does not see a stick" grower 'TARN_SOCKET=/run/tarn-second/tarn.sock tarn backup /media/stick/a.db'
printf '[Service]\nBindPaths=/media/stick\n' >/etc/systemd/system/tarnd@second.service.d/stick.conf
systemctl daemon-reload
check "it restarts with a drop-in that shows it the stick" systemctl restart tarnd@second
check "and puts a copy there" grower 'TARN_SOCKET=/run/tarn-second/tarn.sock tarn backup /media/stick/a.db'
check "which is a journal" test -s /media/stick/a.db

check "systemd finds nothing in the units" silent systemd-analyze verify --man=no \
    tarnd.service tarnd@second.service tarnd.socket
check "nothing was logged as an error" silent journalctl --quiet --no-pager -p err -u tarnd -u tarnd@second

# The example of tarnd(8): the demo room on a clock of its own, by the installed files alone.
try='tarnd --room /usr/share/doc/tarn/rooms/demo.yaml --state /tmp/try --socket /tmp/try.sock'
su - stranger -c "$try --simulate 2026-03-01T07:00" >/tmp/try.log 2>&1 &
check "anybody tries the demo room" soon stranger 'TARN_SOCKET=/tmp/try.sock tarn today'
check "and moves its clock" stranger 'TARN_SOCKET=/tmp/try.sock tarn clock advance 1d'

[ "$bad" -eq 0 ] && echo "all is well"
