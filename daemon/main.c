/* tarnd - looks after one room. Options, and the order of things; the work is in serve/. */
#include "config/read/fault_print.h"
#include "config/read/room_read.h"
#include "daemon/base/mem.h"
#include "daemon/base/text.h"
#include "daemon/base/wire.h"
#include "daemon/core/tell/room_advice.h"
#include "daemon/serve/serve.h"
#include "daemon/store/recover.h"

#include <getopt.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char usage[] =
    "tarnd looks after a room of still-water containers.\n"
    "\n"
    "  tarnd --room FILE --state DIR [--socket PATH] [--crops DIR] [--simulate TIME]\n"
    "  tarnd --check --room FILE [--crops DIR]\n"
    "  tarnd --recover --state DIR [--from FILE]\n"
    "\n"
    "  --room FILE       the room file (see tarn-room(5))\n"
    "  --state DIR       where the journal is kept; made if it is not there\n"
    "  --socket PATH     where tarn finds it; " WIRE_SOCKET_DEFAULT " if not given\n"
    "  --crops DIR       crops of your own, beside those built in or in place of them\n"
    "  --simulate TIME   a clock that only `tarn clock` moves, from 2026-03-01T07:00\n"
    "  --check           print every fault of the room file, warnings and advice, and end\n"
    "  --recover         make a damaged journal anew, from what can be read of it and of its\n"
    "                    copies, and say what is missing; nothing is deleted\n"
    "  --from FILE       a copy to recover from, before those in DIR/backups\n"
    "  --version, --help\n";

static void print_advice(const struct room *room)
{
    struct text advice = {0};

    room_advice(room, &advice);
    (void)fputs(text_str(&advice), stdout);
    text_deinit(&advice);
}

static const char *plural(size_t n)
{
    return n == 1 ? "" : "s";
}

static int check(const struct serve_options *o)
{
    struct room_faults *faults = mem_array(1, sizeof *faults);
    struct room room = {0};
    int rc = room_read(o->room_path, o->crops_dir, &room, faults);

    if (rc < 0) {
        fault_print(faults, stdout);
    } else {
        fault_print_warnings(faults, stdout);
        print_advice(&room);
        (void)printf("%s: %zu container%s, %zu recipe%s, %zu product%s: no fault%s\n", room.name,
                     room.n_containers, plural(room.n_containers), room.n_recipes,
                     plural(room.n_recipes), room.n_products, plural(room.n_products),
                     faults->n_warnings ? ", see the warnings" : "");
    }
    room_deinit(&room);
    free(faults);
    return rc < 0 ? EXIT_FAILURE : EXIT_SUCCESS;
}

static int recover(const char *state_dir, const char *from)
{
    struct recovery r;
    struct err e = {0};
    int rc = journal_recover(state_dir, from, &r, &e);

    (void)fputs(text_str(&r.says), stdout);
    text_deinit(&r.says);
    if (rc < 0) {
        (void)fprintf(stderr, "tarnd: %s\n", e.msg);
    }
    return rc < 0 ? EXIT_FAILURE : EXIT_SUCCESS;
}

static int wrong_usage(const char *message)
{
    (void)fprintf(stderr, "tarnd: %s; tarnd --help says more\n", message);
    return 2;
}

int main(int argc, char **argv)
{
    static const struct option options[] = {
        {"room",     required_argument, NULL, 'r'},
        {"state",    required_argument, NULL, 's'},
        {"socket",   required_argument, NULL, 'k'},
        {"crops",    required_argument, NULL, 'c'},
        {"simulate", required_argument, NULL, 'm'},
        {"check",    no_argument,       NULL, 'C'},
        {"recover",  no_argument,       NULL, 'R'},
        {"from",     required_argument, NULL, 'f'},
        {"version",  no_argument,       NULL, 'V'},
        {"help",     no_argument,       NULL, 'h'},
        {NULL,       0,                 NULL, 0  },
    };
    struct serve_options o = {.socket_path = WIRE_SOCKET_DEFAULT};
    bool only_check = false;
    bool only_recover = false;
    const char *from = NULL;
    struct err e = {0};
    int c;

    while ((c = getopt_long(argc, argv, "", options, NULL)) != -1) {
        switch (c) {
        case 'r':
            o.room_path = optarg;
            break;
        case 's':
            o.state_dir = optarg;
            break;
        case 'k':
            o.socket_path = optarg;
            break;
        case 'c':
            o.crops_dir = optarg;
            break;
        case 'm':
            o.simulate = optarg;
            break;
        case 'C':
            only_check = true;
            break;
        case 'R':
            only_recover = true;
            break;
        case 'f':
            from = optarg;
            break;
        case 'V':
            (void)puts("tarnd " TARN_VERSION);
            return EXIT_SUCCESS;
        case 'h':
            (void)fputs(usage, stdout);
            return EXIT_SUCCESS;
        default:
            return 2;
        }
    }
    if (optind < argc) {
        return wrong_usage("it takes no words, only options");
    }
    if (only_recover) {
        return o.state_dir ? recover(o.state_dir, from)
                           : wrong_usage("--recover wants --state DIR");
    }
    if (from) {
        return wrong_usage("--from goes with --recover");
    }
    if (!o.room_path) {
        return wrong_usage("--room FILE is needed");
    }
    if (only_check) {
        return check(&o);
    }
    if (!o.state_dir) {
        return wrong_usage("--state DIR is needed");
    }
    (void)signal(SIGPIPE, SIG_IGN);
    (void)signal(SIGXFSZ, SIG_IGN); /* a full quota is an error of the write then, not the end */
    if (serve_run(&o, &e) < 0) {
        (void)fprintf(stderr, "tarnd: %s\n", e.msg);
        return EXIT_FAILURE;
    }
    return EXIT_SUCCESS;
}
