#include "daemon/core/chem/formula.h"

#include "daemon/base/err.h"

#include <assert.h>
#include <ctype.h>
#include <stdbool.h>
#include <stddef.h>
#include <string.h>

#define COUNT_MAX 99 /* no salt has more of anything; what is longer is a slip of the finger */
#define DEPTH_MAX 3  /* what comes from a file must not recurse without end */

/* clang-format off */
static const struct {
    const char *symbol;
    double molar_mass_g;
} elements[] = {
    [ELEMENT_H]  = {"H",  1.008},
    [ELEMENT_B]  = {"B",  10.81},
    [ELEMENT_C]  = {"C",  12.011},
    [ELEMENT_N]  = {"N",  14.007},
    [ELEMENT_O]  = {"O",  15.999},
    [ELEMENT_NA] = {"Na", 22.990},
    [ELEMENT_MG] = {"Mg", 24.305},
    [ELEMENT_SI] = {"Si", 28.085},
    [ELEMENT_P]  = {"P",  30.974},
    [ELEMENT_S]  = {"S",  32.06},
    [ELEMENT_CL] = {"Cl", 35.45},
    [ELEMENT_K]  = {"K",  39.098},
    [ELEMENT_CA] = {"Ca", 40.078},
    [ELEMENT_MN] = {"Mn", 54.938},
    [ELEMENT_FE] = {"Fe", 55.845},
    [ELEMENT_CU] = {"Cu", 63.546},
    [ELEMENT_ZN] = {"Zn", 65.38},
    [ELEMENT_MO] = {"Mo", 95.95},
};
/* clang-format on */
static_assert(sizeof elements / sizeof *elements == ELEMENT_COUNT, "an element has no molar mass");

/* A reader of one formula: what is left of the text, and where faults go. */
struct reading {
    const char *text;
    const char *at;
    struct err *e;
};

static int fault(const struct reading *r, const char *what)
{
    return err_set(r->e, ERR_SYNTAX, "'%s' is no formula: %s", r->text, what);
}

static void add(struct formula *to, const struct formula *from, double times)
{
    for (int i = 0; i < ELEMENT_COUNT; i++) {
        to->atoms[i] += from->atoms[i] * times;
    }
    to->nitrate_n += from->nitrate_n * times;
    to->ammonium_n += from->ammonium_n * times;
}

/* A count behind an element, a bracket, or in front of a part; 1 when there is none. */
static int read_count(struct reading *r, double *out)
{
    int n = 0;

    if (!isdigit((unsigned char)*r->at)) {
        *out = 1;
        return 0;
    }
    while (isdigit((unsigned char)*r->at) && n <= COUNT_MAX) {
        n = n * 10 + (*r->at++ - '0');
    }
    if (n < 1 || n > COUNT_MAX) {
        return fault(r, "a count lies between 1 and 99");
    }
    *out = n;
    return 0;
}

/* "NO3" or "NH4" as a group of its own, not the beginning of something longer. */
static bool starts_group(const char *at, const char *group)
{
    size_t len = strlen(group);

    return strncmp(at, group, len) == 0 && !isdigit((unsigned char)at[len]) &&
           !islower((unsigned char)at[len]);
}

static int find_element(const char *at, size_t len)
{
    for (int i = 0; i < ELEMENT_COUNT; i++) {
        if (strlen(elements[i].symbol) == len && strncmp(elements[i].symbol, at, len) == 0) {
            return i;
        }
    }
    return -1;
}

static int read_element(struct reading *r, struct formula *into)
{
    size_t len = islower((unsigned char)r->at[1]) ? 2 : 1;
    int el = find_element(r->at, len);
    double count = 1;

    if (el < 0) {
        return err_set(r->e, ERR_SYNTAX,
                       "'%s' is no formula: '%.*s' is not among the elements of nutrients", r->text,
                       (int)len, r->at);
    }
    into->nitrate_n += starts_group(r->at, "NO3");
    into->ammonium_n += starts_group(r->at, "NH4");
    r->at += len;
    if (read_count(r, &count) < 0) {
        return ERR_SYNTAX;
    }
    into->atoms[el] += count;
    return 0;
}

static int read_group(struct reading *r, int depth, struct formula *into);

static int read_bracket(struct reading *r, int depth, struct formula *into)
{
    struct formula inside = {0};
    double count = 1;

    if (depth == DEPTH_MAX) {
        return fault(r, "brackets are nested too deep");
    }
    r->at++;
    if (read_group(r, depth + 1, &inside) < 0) {
        return ERR_SYNTAX;
    }
    if (*r->at != ')') {
        return fault(r, "a bracket is left open");
    }
    r->at++;
    if (read_count(r, &count) < 0) {
        return ERR_SYNTAX;
    }
    add(into, &inside, count);
    return 0;
}

/* Elements and brackets up to the end, a closing bracket or a dot. */
static int read_group(struct reading *r, int depth, struct formula *into)
{
    const char *from = r->at;
    int rc = 0;

    while (rc == 0 && (isupper((unsigned char)*r->at) || *r->at == '(')) {
        rc = *r->at == '(' ? read_bracket(r, depth, into) : read_element(r, into);
    }
    if (rc == 0 && r->at == from) {
        return fault(r, *from ? "an element was expected" : "it ends too early");
    }
    return rc;
}

/* '.', '*' or U+00B7 in front of water of crystallisation. Its length; 0 = there is none. */
static size_t dot_len(const char *at)
{
    return *at == '.' || *at == '*' ? 1 : strncmp(at, "\xC2\xB7", 2) == 0 ? 2 : 0;
}

int formula_parse(const char *text, struct formula *out, struct err *e)
{
    struct reading r = {text, text, e};
    struct formula whole = {0};
    size_t dot = 0;

    if (strlen(text) > FORMULA_LEN_MAX) {
        return err_set(e, ERR_SYNTAX, "a formula has at most %d letters", FORMULA_LEN_MAX);
    }
    do {
        struct formula part = {0};
        double times = 1;

        r.at += dot;
        if (read_count(&r, &times) < 0 || read_group(&r, 0, &part) < 0) {
            return ERR_SYNTAX;
        }
        add(&whole, &part, times);
        dot = dot_len(r.at);
    } while (dot);
    if (*r.at) {
        return fault(&r, "it goes on with what is neither an element nor a count");
    }
    *out = whole;
    return 0;
}

double element_molar_mass_g(enum element el)
{
    return elements[el].molar_mass_g;
}

double formula_molar_mass_g(const struct formula *f)
{
    double sum = 0;

    for (int i = 0; i < ELEMENT_COUNT; i++) {
        sum += f->atoms[i] * elements[i].molar_mass_g;
    }
    return sum;
}

double formula_mass_frac(const struct formula *f, enum element el)
{
    return f->atoms[el] * elements[el].molar_mass_g / formula_molar_mass_g(f);
}
