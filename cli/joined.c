#include "cli/joined.h"

#include <ctype.h>
#include <string.h>

static const char *const units[] = {
    "L",   "mL", "gal", "impgal", "qt",     "floz",   "fl",    "mS/cm", "ppm500", "ppm640",
    "g",   "kg", "mg",  "oz",     "lb",     "mL/L",   "g/L",   "mg/L",  "mL/gal", "g/gal",
    "min", "h",  "d",   "day",    "days",   "weeks",  "hours", "°C",    "°F",     "%",
    "cm",  "in", "mV",  "meq/L",  "mmol/L", "ppm700", "L/min", "L/h",   "L/day",  NULL,
};
static const char *const weekdays[] = {"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun", NULL};
static const char *const measured[] = {"EC", "pH", NULL};
static const char *const months[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul",
                                     "Aug", "Sep", "Oct", "Nov", "Dec", NULL};

/* A word without the punctuation around it. */
struct bare {
    const char *s;
    size_t len;
};

static struct bare bare_of(const char *s, size_t len)
{
    while (len && strchr("([~'", *s)) {
        s++;
        len--;
    }
    while (len && strchr(")].,;:'?!", s[len - 1])) {
        len--;
    }
    return (struct bare){s, len};
}

static bool is_among(struct bare word, const char *const *list)
{
    for (; *list; list++) {
        if (strlen(*list) == word.len && memcmp(*list, word.s, word.len) == 0) {
            return true;
        }
    }
    return false;
}

/* "0.70", "1,603", "-3", "2-4": it ends in a digit and holds nothing else than numbers do. */
static bool is_number(struct bare word)
{
    for (size_t i = 0; i < word.len; i++) {
        if (!isdigit((unsigned char)word.s[i]) && !strchr(".,+-", word.s[i])) {
            return false;
        }
    }
    return word.len && isdigit((unsigned char)word.s[word.len - 1]);
}

bool joined_is(const char *a, size_t a_len, const char *b, size_t b_len)
{
    struct bare left = bare_of(a, a_len);
    struct bare right = bare_of(b, b_len);

    if (a_len && strchr(".,;:)", a[a_len - 1])) { /* it ends there: "of the 3. L1 is …" */
        return false;
    }
    return (is_number(left) && (is_among(right, units) || is_among(right, months))) ||
           ((is_among(left, weekdays) || is_among(left, measured)) && is_number(right)) ||
           (a_len == 3 && memcmp(a, "(in", 3) == 0 && is_number(right)); /* "(in 3 days)" */
}

size_t joined_span(const char *s)
{
    size_t word = 0;
    size_t end = strcspn(s, " \n");

    for (;;) {
        size_t next = end + strspn(s + end, " ");
        size_t len = strcspn(s + next, " \n");

        if (!len || !joined_is(s + word, end - word, s + next, len)) {
            return end;
        }
        word = next;
        end = next + len;
    }
}
