#include "cli/option.h"

#include "daemon/base/suggest.h"
#include "daemon/base/wire.h"

#include <assert.h>
#include <string.h>

static_assert(OPTION_N <= 32, "a verb keeps its options as the bits of an unsigned");

/* clang-format off */
const struct option_def options[OPTION_N] = {
    [OPTION_SOCKET] =
        {"--socket", "PATH", SENT_NOT,
         "where the daemon listens (else TARN_SOCKET, else " WIRE_SOCKET_DEFAULT ")"},
    [OPTION_JSON]    = {"--json",    NULL,      SENT_NOT,   "print the daemon's answer as it is"},
    [OPTION_HELP]    = {"--help",    NULL,      SENT_NOT,   "say how it is used"},
    [OPTION_VERSION] = {"--version", NULL,      SENT_NOT,   "say which version this is"},
    [OPTION_ON]      = {"--on",      "DATE",    SENT_TEXT,
                        "another day: tomorrow, friday, 2026-03-01"},
    [OPTION_FULL]    = {"--full",    NULL,      SENT_TRUE,  "with the worksheet of every task"},
    [OPTION_TO]      = {"--to",      "DATE",    SENT_TEXT,
                        "the day to do it on: tomorrow, friday, +3 days"},
    [OPTION_WHY]     = {"--why",     "TEXT",    SENT_TEXT,  "the reason, for the record"},
    [OPTION_OF]      = {"--of",      "SUBJECT", SENT_TEXT,  "only what is about this"},
    [OPTION_SINCE]   = {"--since",   "WHEN",    SENT_TEXT,
                        "from then on: monday, \"3 days ago\""},
    [OPTION_UNTIL]   = {"--until",   "WHEN",    SENT_TEXT,  "up to then"},
    [OPTION_CSV]     = {"--csv",     NULL,      SENT_NOT,
                        "as comma-separated values, for a spreadsheet"},
    [OPTION_DAYS]    = {"--days",    "N",       SENT_COUNT, "how many days ahead (14)"},
    [OPTION_IF]      = {"--if",      "WHAT",    SENT_TEXT,
                        "suppose: \"off DAY..DAY\", \"more 4 like A1\""},
    [OPTION_ONLY]    = {"--only",    "NAMES",   SENT_NAMES,
                        "only these of the task: A3,A7 or A1..A5"},
    [OPTION_AT]      = {"--at",      "WHEN",    SENT_TEXT,
                        "when it was done: 07:30, \"yesterday 18:00\""},
    [OPTION_NOTE]    = {"--note",    "TEXT",    SENT_TEXT,  "a remark for the record"},
    [OPTION_SURE]    = {"--sure",    NULL,      SENT_TRUE,  "the figures are strange but right"},
    [OPTION_SENSOR]  = {"--sensor",  NULL,      SENT_TRUE,
                        "a sensor tells it: of each hour the first reading counts"},
    [OPTION_KEY]     = {"--key",     "TEXT",    SENT_TEXT,
                        "repeat a call safely: a key is taken once only"},
};
/* clang-format on */

int option_find(const char *name, size_t len)
{
    if (len == 2 && memcmp(name, "-h", 2) == 0) {
        return OPTION_HELP;
    }
    for (int o = 0; o < OPTION_N; o++) {
        if (strlen(options[o].name) == len && memcmp(options[o].name, name, len) == 0) {
            return o;
        }
    }
    return -1;
}

const char *option_suggest(char buf[SUGGEST_TEXT_MAX], const char *name, size_t len)
{
    const char *names[OPTION_N];
    char word[40] = "";

    for (int o = 0; o < OPTION_N; o++) {
        names[o] = options[o].name;
    }
    memcpy(word, name, len < sizeof word ? len : sizeof word - 1);
    return suggest_tail(buf, word, names, OPTION_N, "");
}
