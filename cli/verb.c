#include "cli/verb.h"

#include "cli/ask.h"
#include "cli/screen.h"
#include "daemon/base/mem.h"
#include "daemon/base/suggest.h"
#include "daemon/core/words/entry_kind.h"
#include "daemon/core/words/hint.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define B(o) OPTION_BIT(OPTION_##o)

enum { ANY_NUMBER = 100000 }; /* of words: the length of the call bounds it */

/* clang-format off */
const struct verb verbs[] = {
    {
        .name = "status",
        .method = "status",
        .words = "",
        .says = "the room now: notices, reservoir, containers, meters",
        .about = "Shows what the room holds at this moment, by the forecast from what was last "
                 "measured. Containers that follow each other and read the same share a row. The "
                 "float line column says when the level reaches the float valve; 'unseen' means "
                 "that it should have been reached and nobody has looked yet.",
        .example = "tarn status",
        .show = screen_status,
    },
    {
        .name = "today",
        .method = "today",
        .words = "",
        .takes = B(ON) | B(FULL),
        .says = "what is to be done, in the order of a morning",
        .about = "Alarms and notices first, then what bears no later day, the reservoir, and the "
                 "tasks of the day: number, what, for which containers, by when at the latest, "
                 "minutes of work, why, and what happens if it is left. On a day without tasks it "
                 "says when the next are.",
        .example = "tarn today\n"
                   "tarn today --full\n"
                   "tarn today --on friday",
        .show = screen_today,
    },
    {
        .name = "show",
        .method = "show",
        .words = "[WHAT]",
        .word_kind = WORD_NAME,
        .max_words = 1,
        .says = "a task with its steps, or a container, the reservoir, a crop …",
        .about = "WHAT is the number of a task, or a name: a container, 'reservoir', a product, "
                 "a recipe, a meter or a crop. A task comes as a worksheet, step by step, with "
                 "amounts; one that is over with what was told of it. Without a word it lists what "
                 "there is.",
        .example = "tarn show 41\n"
                   "tarn show A3\n"
                   "tarn show reservoir",
        .ask = ask_show,
        .show = screen_show,
    },
    {
        .name = "ack",
        .method = "ack",
        .words = "TASK [FIGURES]",
        .word_kind = WORD_TASK,
        .min_words = 1,
        .max_words = ANY_NUMBER,
        .takes = B(ONLY) | B(AT) | B(NOTE) | B(SURE) | B(KEY),
        .keyed = true,
        .says = "a task is done, and this is what was measured",
        .about = "Figures are KEY=VALUE with the unit at the value: ec=1.4mS/cm ph=5.9 "
                 "volume=38L added=80L temp=21C slope=97% offset=-4mV yield=400g amount=5L "
                 "was=0.9mS/cm (before a bump or a draining; of a mix, before it was corrected). A "
                 "product's name as the key tells how much of it was used: calcium-part=45mL. "
                 "float=yes says that the float was seen working. A name opens a section, and the "
                 "figures behind it are about that one alone; names in a row share what follows "
                 "them. "
                 "took=12min tells how long all of it took: plans are made with what was told. "
                 "--only closes a part of the task.",
        .example = "tarn ack 41 ec=1.42mS/cm ph=5.9 volume=38L added=80L\n"
                   "tarn ack 57 A1 was=0.9mS/cm ec=1.3mS/cm ph=5.8 A2 was=0.8mS/cm ec=1.2mS/cm\n"
                   "tarn ack 41 --only A3,A7 ec=1.42mS/cm ph=5.9 volume=12L\n"
                   "tarn ack 43 float=yes --at \"yesterday 18:00\"",
        .ask = ask_ack,
        .show = screen_ack,
    },
    {
        .name = "defer",
        .method = "defer",
        .words = "TASK",
        .word_kind = WORD_TASK,
        .min_words = 1,
        .max_words = 1,
        .takes = B(TO) | B(WHY) | B(ONLY) | B(KEY),
        .needs = B(TO),
        .keyed = true,
        .says = "put a task off to another day",
        .about = "Within the window of the task no reason is asked for; beyond it, say why.",
        .example = "tarn defer 41 --to tomorrow\n"
                   "tarn defer 41 --to \"+5 days\" --why \"nutrients come on friday\"",
        .ask = ask_task,
        .show = screen_deferred,
    },
    {
        .name = "drop",
        .method = "drop",
        .words = "TASK",
        .word_kind = WORD_TASK,
        .min_words = 1,
        .max_words = 1,
        .takes = B(WHY) | B(ONLY) | B(KEY),
        .needs = B(WHY),
        .keyed = true,
        .says = "a task will not be done this time",
        .about = "The reason stands in the journal. The task comes back when its time comes "
                 "again.",
        .example = "tarn drop 44 --why \"the plant goes out tomorrow anyway\"",
        .ask = ask_task,
        .show = screen_written,
    },
    {
        .name = "record",
        .method = "record",
        .words = "KIND SUBJECT [FIGURES]",
        .word_kind = WORD_KIND,
        .min_words = 2,
        .max_words = ANY_NUMBER,
        .takes = B(AT) | B(NOTE) | B(SURE) | B(SENSOR) | B(KEY),
        .keyed = true,
        .says = "write down what was done or seen without a task",
        .about = "Several subjects may be told of at once, each followed by its figures; names "
                 "in a row share what follows them, and A1..A5 stands for five. Figures are "
                 "written as for 'tarn ack'; the word that some kinds need is told by what=, "
                 "crop=, stage=, recipe=, saw=, float=, to=, strength= or meter=. Readings of "
                 "many go in one line, EC and pH behind each name: tarn record readings A1 1.2 "
                 "5.8 A2 1.1 5.9, or - for lines on standard input. Kinds:",
        .example = "tarn record reading A3 ec=1.2mS/cm ph=5.8\n"
                   "tarn record observation A1 A2 saw=tip-burn --note \"two lower leaves\"\n"
                   "tarn record note reservoir --note \"lid cracked\"",
        .ask = ask_record,
        .show = screen_written,
    },
    {
        .name = "round",
        .method = "today",
        .words = "[all]",
        .max_words = 1,
        .says = "walks through the room, and asks what is due to be read",
        .about = "In the order of the room: EC, pH and level of each container that a task asks "
                 "for, and whether its float lets in water; with 'all' of every plant. A figure "
                 "goes without its unit; Enter passes over what was not measured. What is odd is "
                 "said at once, and what acid serves. Each answer is told when it is given, so "
                 "that a round that is broken off with . goes on where it was left.",
        .example = "tarn round\n"
                   "tarn round all",
        .ask = ask_round,
        .show = screen_today,
    },
    {
        .name = "log",
        .method = "log",
        .words = "",
        .takes = B(OF) | B(SINCE) | B(UNTIL) | B(CSV),
        .pages = true,
        .says = "what was written down, oldest first",
        .about = "A line an entry: when it happened, its number, what was told, who told it. An "
                 "entry that was voided stays and is marked.",
        .example = "tarn log --since \"3 days ago\"\n"
                   "tarn log --of A3\n"
                   "tarn log --csv --since 2026-03-01 --until 2026-04-01",
        .show = screen_log,
    },
    {
        .name = "void",
        .method = "void",
        .words = "ENTRY",
        .min_words = 1,
        .max_words = 1,
        .takes = B(WHY) | B(KEY),
        .needs = B(WHY),
        .keyed = true,
        .says = "an entry was a mistake: count it as never told",
        .about = "Nothing is deleted: the entry stays in the log, marked, and the room is worked "
                 "out anew without it. ENTRY is the number that the log shows.",
        .example = "tarn void 17 --why \"read the wrong bucket\"",
        .ask = ask_void,
        .show = screen_taken_back,
    },
    {
        .name = "undo",
        .method = "undo",
        .words = "",
        .takes = B(WHY) | B(KEY),
        .keyed = true,
        .says = "take back what you told last, whole",
        .about = "All entries of the last telling are voided, and the task that it closed is open "
                 "again under its number. Told once more, it takes back the telling before.",
        .example = "tarn undo\n"
                   "tarn undo --why \"the wrong shelf\"",
        .show = screen_taken_back,
    },
    {
        .name = "fix",
        .method = "fix",
        .words = "ENTRY [FIGURES]",
        .min_words = 1,
        .max_words = ANY_NUMBER,
        .takes = B(AT) | B(WHY) | B(SURE) | B(KEY),
        .keyed = true,
        .says = "an entry was told wrong: void it, and tell it right",
        .about = "The entry is voided, and stands there anew with the figures, the word or the "
                 "time that are told here; what is not told stays as it was, its task too. ENTRY "
                 "is the number that the log shows.",
        .example = "tarn fix 812 ec=1.42mS/cm\n"
                   "tarn fix 812 --at \"yesterday 18:00\"",
        .ask = ask_fix,
        .show = screen_written,
    },
    {
        .name = "outlook",
        .method = "outlook",
        .words = "",
        .takes = B(DAYS) | B(IF),
        .says = "the days ahead: tasks, water, floats, nutrients",
        .about = "Shows each day with its work, its budget and the water that the plants draw, "
                 "then the mixes to come, the days on which float lines are reached, and what "
                 "the mixes need. With --if the plan is made for a room that is not, and nothing "
                 "is touched: off DAY..DAY, reservoir VOLUME, tolerance PERCENT, strength "
                 "usual|close|easy, more NUMBER like CONTAINER, feed STRENGTH, float VOLUME "
                 "like CONTAINER, work WEEKDAY.",
        .example = "tarn outlook --days 28\n"
                   "tarn outlook --if \"off 2026-04-03..2026-04-05\"\n"
                   "tarn outlook --if \"feed 0.6 mS/cm\"",
        .show = screen_outlook,
    },
    {
        .name = "advise",
        .method = "advise",
        .words = "",
        .says = "what the dial of strengths comes to, and what else would save work",
        .about = "Lives this room forward for four weeks by what is believed of it: for each "
                 "setting of 'strength:' in the room file, and with a weak feed, larger vessels, a "
                 "larger reservoir or another day of work; the three that save most, with their "
                 "doubt. Nothing is touched.",
        .example = "tarn advise",
        .show = screen_advise,
    },
    {
        .name = "mix",
        .method = "mix",
        .words = "[RECIPE] [VOLUME] [EC] [FIGURES]",
        .word_kind = WORD_NAME,
        .min_words = 1,
        .max_words = 20,
        .says = "how much of what, without a task",
        .about = "A recipe with a volume and a strength: how much of each product, and what that "
                 "gives in mg/L; with crop= beside what was published for it. With from= it "
                 "tells what to add to a solution that is there: more of the recipe, or plain "
                 "water. Bodies as VOLUME@EC: what comes of pouring them together. With hard= it "
                 "blends two waters. water= is the strength of the plain water where it is not "
                 "that of the room file. Nothing is written down.",
        .example = "tarn mix fruit 30L 1.4mS/cm crop=tomato\n"
                   "tarn mix fruit 30L from=0.8mS/cm ec=1.4mS/cm\n"
                   "tarn mix 10L@1.2mS/cm 20L@0.4mS/cm\n"
                   "tarn mix 30L 0.3mS/cm hard=0.7mS/cm",
        .ask = ask_mix,
        .show = screen_mix,
    },
    {
        .name = "stock",
        .method = "stock",
        .words = "",
        .says = "what is left of each product",
        .about = "Counts what came in less what was used, as far as it was told.",
        .example = "tarn stock",
        .show = screen_stock,
    },
    {
        .name = "backup",
        .method = "backup",
        .words = "[FILE]",
        .max_words = 1,
        .says = "a copy of the journal, made while tarnd runs",
        .about = "The copy is read back before it gets its name. tarnd writes it, as its own "
                 "user, and never over a file; without FILE among those that it makes each day. "
                 "'tarnd --recover' takes it.",
        .example = "tarn backup\n"
                   "tarn backup /media/stick/tarn.db",
        .ask = ask_backup,
        .show = screen_backup,
    },
    {
        .name = "clock",
        .method = "clock",
        .words = "[advance SPAN | to WHEN]",
        .word_kind = WORD_CLOCK,
        .max_words = 8,
        .says = "the daemon's time; under --simulate, move it on",
        .about = "A daemon started with --simulate stands still in time until it is moved.",
        .example = "tarn clock\n"
                   "tarn clock advance 7d\n"
                   "tarn clock to friday 07:00",
        .ask = ask_clock,
        .show = screen_clock,
    },
    {
        .name = "help",
        .words = "[VERB]",
        .word_kind = WORD_VERB,
        .max_words = 1,
        .says = "this list, or all about one verb",
        .about = "",
        .example = "tarn help ack",
    },
    {
        .name = "completion",
        .words = "bash",
        .word_kind = WORD_SHELL,
        .min_words = 1,
        .max_words = 1,
        .says = "a script that lets the shell complete what you type",
        .about = "Prints the script; the shell reads it at its start.",
        .example = "eval \"$(tarn completion bash)\"",
    },
};
/* clang-format on */

const size_t n_verbs = sizeof verbs / sizeof *verbs;

const struct verb *verb_find(const char *name)
{
    for (size_t i = 0; i < n_verbs; i++) {
        if (strcmp(verbs[i].name, name) == 0) {
            return &verbs[i];
        }
    }
    return NULL;
}

/* "; tarn record emptied … volume=0L": what a room's things are called only the daemon knows. */
static const char *add_nameless(char buf[VERB_TAIL_MAX], const char *hint)
{
    struct text t = {0};

    text_add(&t, "; ");
    while (*hint) {
        bool name = strncmp(hint, "A1", 2) == 0 || strncmp(hint, "A3", 2) == 0;

        text_add_bytes(&t, name ? "…" : hint, name ? strlen("…") : 1);
        hint += name ? 2 : 1;
    }
    (void)snprintf(buf, VERB_TAIL_MAX, "%s", text_str(&t));
    text_deinit(&t);
    return buf;
}

const char *verb_suggest(char buf[VERB_TAIL_MAX], const char *name)
{
    const char **names;
    const char *tail;

    if (entry_kind_find(name) >= 0) {
        (void)snprintf(buf, VERB_TAIL_MAX, "; it is recorded: tarn record %s …", name);
        return buf;
    }
    if (hint_of(name)) {
        return add_nameless(buf, hint_of(name));
    }
    names = mem_array(n_verbs, sizeof *names);

    for (size_t i = 0; i < n_verbs; i++) {
        names[i] = verbs[i].name;
    }
    tail = suggest_tail(buf, name, names, n_verbs, "; 'tarn help' lists them");
    free(names);
    return tail;
}
