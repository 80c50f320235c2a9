#include "daemon/core/state/alarm_says.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>

/* In the order of enum alarm_kind; a kind that is added without its word or look does not
 * compile. */
/* clang-format off */
const char *const alarm_words[] = {
    "level-high",     /* ALARM_HIGH */
    "leak",           /* ALARM_LEAK */
    "level-low",      /* ALARM_LOW */
    "level-odd",      /* ALARM_ODD */
    "swapped",        /* ALARM_SWAP */
    "wilting",        /* ALARM_WILT */
    "brown-roots",    /* ALARM_ROOTS */
    "hot",            /* ALARM_HOT */
    "reservoir-salt", /* ALARM_SALT */
    "air-lock",       /* ALARM_LACK */
    "too-strong",     /* ALARM_STRONG */
    "ph-drift",       /* ALARM_PH */
    "blossom-end-rot", /* ALARM_ROT */
    "pace",           /* ALARM_PACE */
    "meter",          /* ALARM_METER */
};

const char *const alarm_looks[] = {
    /* high */
    "does its float stick open? Shut its valve, and drain what is too much",
    /* leak */
    "a float that sticks open, then the line, its fittings and the tank",
    /* low */
    "is its shut-off open, the float free and its inlet clear?",
    /* odd */
    "measure again; then is it wet around it, or does its float let water in too early?",
    /* swap */
    "read both again, each by its name",
    /* wilt */
    WILTING_CHECK,
    /* roots */
    BROWN_ROOTS_CHECK,
    /* hot */
    "are its roots white, or brown? Shade it, lighten the lid, fill at night, top up cool",
    /* salt */
    "solution was left in it: rinse it and fill it anew; then the filter of the source",
    /* lack */
    "a shut-off left closed, air in the line, a clogged filter",
    /* strong */
    "solution left in the reservoir, a wrong refill, or an open lid; measure again",
    /* ph */
    "measure again with a calibrated meter; then the roots",
    /* rot */
    BLOSSOM_ROT_CHECK,
    /* pace */
    "the plant's health and its light; is the crop of the room file right?",
    /* meter */
    "clean it, calibrate it, and measure something you know",
};
/* clang-format on */
static_assert(sizeof alarm_words / sizeof *alarm_words == ALARM_KIND_N,
              "a kind of alarm without its word");
static_assert(sizeof alarm_looks / sizeof *alarm_looks == ALARM_KIND_N,
              "a kind of alarm without its look");

static void say_level(const struct room *room, struct subject subject, const struct alarm_state *m,
                      char out[ALARM_SAYS_MAX])
{
    char seen[QUANTITY_TEXT_MAX];
    char line[QUANTITY_TEXT_MAX];
    bool high = m->seen > m->expected;

    quantity_format(seen, QUANTITY_VOLUME, m->seen, &room->units);
    quantity_format(line, QUANTITY_VOLUME, m->expected, &room->units);
    if (isnan(m->seen)) {
        (void)snprintf(out, ALARM_SAYS_MAX,
                       "the float of %s lets in no water, below its line of %s",
                       room->container[subject.at].name, line);
    } else if (high && m->expected != room->container[subject.at].float_volume_l) {
        (void)snprintf(out, ALARM_SAYS_MAX,
                       "%s was read at %s, and held %s before: its air roots drown",
                       room->container[subject.at].name, seen, line);
    } else {
        (void)snprintf(out, ALARM_SAYS_MAX, "%s was read at %s, %s its float line of %s%s",
                       room->container[subject.at].name, seen, high ? "above" : "below", line,
                       high ? ": its air roots drown" : ": nothing lets water in");
    }
}

static void say_draw(const struct room *room, const struct alarm_state *m, char out[ALARM_SAYS_MAX])
{
    char seen[QUANTITY_TEXT_MAX];
    char expected[QUANTITY_TEXT_MAX];

    quantity_format(seen, QUANTITY_VOLUME, m->seen, &room->units);
    if (m->overnight) {
        (void)snprintf(
            out, ALARM_SAYS_MAX,
            "with every shut-off closed the reservoir lost %s overnight, and should lose "
            "nothing",
            seen);
        return;
    }
    (void)snprintf(out, ALARM_SAYS_MAX,
                   "the reservoir lost %s a day, and the plants were to drink %s", seen,
                   quantity_format(expected, QUANTITY_VOLUME, m->expected, &room->units));
}

/* What a plant of its kind cannot explain; below 0 it rose. */
static void say_pace(const struct room *room, const char *name, const struct alarm_state *m,
                     char out[ALARM_SAYS_MAX])
{
    char seen[QUANTITY_TEXT_MAX];
    char expected[QUANTITY_TEXT_MAX];

    (void)snprintf(out, ALARM_SAYS_MAX, "%s %s %s a day, and its plant was to drink %s", name,
                   m->seen < 0 ? "gained" : "lost",
                   quantity_format(seen, QUANTITY_VOLUME, fabs(m->seen), &room->units),
                   quantity_format(expected, QUANTITY_VOLUME, m->expected, &room->units));
}

static void say_ec(const struct room *room, const char *name, const char *of,
                   const struct alarm_state *m, char out[ALARM_SAYS_MAX])
{
    char seen[QUANTITY_TEXT_MAX];
    char expected[QUANTITY_TEXT_MAX];

    (void)snprintf(out, ALARM_SAYS_MAX, "%s reads %s; %s is %s", name,
                   quantity_format(seen, QUANTITY_EC, m->seen, &room->units), of,
                   quantity_format(expected, QUANTITY_EC, m->expected, &room->units));
}

/* "; its solution was last read at 26.0 °C", where that is known and not old. */
static void say_sighting(const struct room *room, const char *name, const char *shows,
                         const struct alarm_state *m, char out[ALARM_SAYS_MAX])
{
    char temp[QUANTITY_TEXT_MAX] = "";

    if (isfinite(m->seen)) {
        quantity_format(temp, QUANTITY_TEMP, m->seen, &room->units);
    }
    (void)snprintf(out, ALARM_SAYS_MAX, "%s %s%s%s", name, shows,
                   *temp ? "; its solution was last read at "
                         : "; nobody told lately how warm its solution is",
                   temp);
}

static void say_rot(const struct room *room, const char *name, const struct alarm_state *m,
                    char out[ALARM_SAYS_MAX])
{
    char ec[QUANTITY_TEXT_MAX];
    int len =
        snprintf(out, ALARM_SAYS_MAX, "%s was seen with blossom-end rot; it should hold %s then",
                 name, quantity_format(ec, QUANTITY_EC, m->seen, &room->units));

    if (isfinite(m->expected) && len > 0 && len < ALARM_SAYS_MAX) {
        (void)snprintf(out + len, (size_t)(ALARM_SAYS_MAX - len), ", K to Ca %.1f:1", m->expected);
    }
}

static void say_hot(const struct room *room, const char *name, const struct alarm_state *m,
                    char out[ALARM_SAYS_MAX])
{
    char seen[QUANTITY_TEXT_MAX];
    char hot[QUANTITY_TEXT_MAX];

    (void)snprintf(out, ALARM_SAYS_MAX,
                   "the solution of %s was read at %s: from %s on it holds too little oxygen, and "
                   "roots rot",
                   name, quantity_format(seen, QUANTITY_TEMP, m->seen, &room->units),
                   quantity_format(hot, QUANTITY_TEMP, m->expected, &room->units));
}

void alarm_say(const struct room *room, enum alarm_kind kind, struct subject subject,
               const struct alarm_state *m, char out[ALARM_SAYS_MAX])
{
    const char *name = room_subject_name(room, subject);

    switch (kind) {
    case ALARM_HIGH:
    case ALARM_LOW:
        say_level(room, subject, m, out);
        break;
    case ALARM_LEAK:
    case ALARM_LACK:
        say_draw(room, m, out);
        break;
    case ALARM_ODD:
        say_pace(room, name, m, out);
        break;
    case ALARM_SWAP:
        (void)snprintf(out, ALARM_SAYS_MAX,
                       "the levels told of %s and %s fit each other better than themselves", name,
                       room->container[(size_t)m->seen].name);
        break;
    case ALARM_SALT:
        say_ec(room, "the reservoir", room_feeds(room) ? "its feed" : "the plain water", m, out);
        break;
    case ALARM_WILT:
        say_sighting(room, name, "was seen wilting", m, out);
        break;
    case ALARM_ROOTS:
        say_sighting(room, name, "was seen with brown roots", m, out);
        break;
    case ALARM_HOT:
        say_hot(room, name, m, out);
        break;
    case ALARM_ROT:
        say_rot(room, name, m, out);
        break;
    case ALARM_STRONG:
        say_ec(room, name, "on float it only falls: expected", m, out);
        break;
    case ALARM_PH:
        (void)snprintf(out, ALARM_SAYS_MAX,
                       "pH of %s drifts: %.1f was read, and its band ends at %.1f", name, m->seen,
                       m->expected);
        break;
    case ALARM_PACE:
        (void)snprintf(out, ALARM_SAYS_MAX, "%s drinks %.1f times what its crop does", name,
                       m->seen);
        break;
    case ALARM_METER:
    case ALARM_KIND_N:
        (void)snprintf(out, ALARM_SAYS_MAX, "the last %.0f readings with %s cannot be", m->seen,
                       name);
        break;
    }
}
