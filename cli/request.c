#include "cli/request.h"

#include "cli/ask.h"
#include "cli/verb.h"
#include "daemon/base/err.h"
#include "daemon/base/names.h"
#include "daemon/base/num.h"

#include <stdint.h>

static int set_names(json_t *params, const char *key, const char *list, struct err *e)
{
    struct names names = {0};
    json_t *array = json_array();
    int rc = names_add_list(&names, list, e);

    for (size_t i = 0; i < names.n && rc == 0; i++) {
        if (json_array_append_new(array, json_string(names.name[i])) < 0) {
            rc = err_set(e, ERR_SYNTAX, "a name is given in letters that are not UTF-8");
        }
    }
    if (rc == 0) {
        (void)json_object_set(params, key, array);
    }
    json_decref(array);
    names_deinit(&names);
    return rc;
}

static int set_option(const struct args *a, enum option o, json_t *params, struct err *e)
{
    const char *key = options[o].name + 2;
    int64_t n;

    switch (options[o].sent) {
    case SENT_NOT:
        return 0;
    case SENT_TEXT:
        return ask_set_text(params, key, a->value[o], e);
    case SENT_TRUE:
        (void)json_object_set_new(params, key, json_true());
        return 0;
    case SENT_COUNT:
        if (num_parse_int(a->value[o], 0, INT32_MAX, &n, e) < 0) {
            return err_prefix(e, "%s: ", options[o].name);
        }
        /* How many may be, the daemon says. */
        (void)json_object_set_new(params, key, json_integer(n));
        return 0;
    case SENT_NAMES:
        return set_names(params, key, a->value[o], e);
    }
    return 0;
}

int request_make(const struct args *a, json_t **out, struct err *e)
{
    json_t *params = json_object();
    int rc = a->verb->ask ? a->verb->ask(a->word, a->n_words, params, e) : 0;

    for (int o = 0; o < OPTION_N && rc == 0; o++) {
        if (args_has(a, (enum option)o)) {
            rc = set_option(a, (enum option)o, params, e);
        }
    }
    if (rc < 0) {
        json_decref(params);
        return rc;
    }
    *out = params;
    return 0;
}
