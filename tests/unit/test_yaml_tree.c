/* A YAML document as a tree that knows its places, and the bounds on what is read of it. */
#include "tests/unit/room_text.h"

#include "config/read/yaml_tree.h"

/* Reads a text that is good; the caller frees the tree. */
static struct node tree_of(const char *text)
{
    struct room_faults faults = {0};
    struct faulty f = {"x", &faults};
    struct node tree;

    if (!yaml_tree_read(&f, text, strlen(text), &tree)) {
        fail_msg("%u:%u: %s", faults.fault[0].line, faults.fault[0].column, faults.fault[0].msg);
    }
    return tree;
}

static void assert_good(char *text)
{
    struct node tree = tree_of(text);

    yaml_tree_free(&tree);
    free(text);
}

/* Frees the text; one fault, at its place. */
static void assert_fault(char *text, unsigned line, unsigned column, const char *expected)
{
    struct room_faults faults = {0};
    struct faulty f = {"x", &faults};
    struct node tree;

    assert_false(yaml_tree_read(&f, text, strlen(text), &tree));
    assert_int_equal(faults.n, 1);
    assert_string_equal(faults.fault[0].msg, expected);
    assert_int_equal(faults.fault[0].line, line);
    assert_int_equal(faults.fault[0].column, column);
    free(text);
}

static void assert_at(struct place at, unsigned line, unsigned column)
{
    assert_int_equal(at.line, line);
    assert_int_equal(at.column, column);
}

static void every_node_knows_its_place_and_that_of_its_key(void **state)
{
    struct node tree = tree_of("a: 1\nb:\n  - x\n  - {c: yes, d: \"two words\"}\n");
    const struct node *list = node_get(&tree, "b");
    const struct node *map;

    (void)state;
    assert_int_equal(tree.kind, NODE_MAP);
    assert_at(tree.at, 1, 1);
    assert_at(tree.named, 1, 1);
    assert_string_equal(node_get(&tree, "a")->text, "1");
    assert_at(node_get(&tree, "a")->at, 1, 4);
    assert_at(node_get(&tree, "a")->named, 1, 1);
    assert_int_equal(list->kind, NODE_LIST);
    assert_int_equal(list->n, 2);
    assert_at(list->named, 2, 1);
    assert_string_equal(list->item[0].text, "x");
    assert_at(list->item[0].named, 3, 5);
    map = &list->item[1];
    assert_string_equal(node_get(map, "d")->text, "two words");
    assert_at(node_get(map, "d")->at, 4, 17);
    assert_at(map->pair[1].at, 4, 14);
    yaml_tree_free(&tree);
}

static void what_is_not_there_is_null(void **state)
{
    struct node tree = tree_of("a: 1\nb: [2]\n");

    (void)state;
    assert_null(node_get(&tree, "c"));
    assert_null(node_get(node_get(&tree, "a"), "b"));
    assert_null(node_get(node_get(&tree, "b"), "a"));
    assert_null(node_get(NULL, "a"));
    yaml_tree_free(&tree);
    assert_int_equal(tree.n, 0);
    assert_null(tree.pair);
}

static void kinds_have_words_for_messages(void **state)
{
    struct node tree = tree_of("a: 1\nb: [2]\n");

    (void)state;
    assert_string_equal(node_kind_word(&tree), "a map");
    assert_string_equal(node_kind_word(node_get(&tree, "a")), "a single value");
    assert_string_equal(node_kind_word(node_get(&tree, "b")), "a list");
    yaml_tree_free(&tree);
}

static char *nested(size_t depth)
{
    char *open = repeat("", "[", depth - 1, "x");
    char *text = repeat(open, "]", depth - 1, "\n");

    free(open);
    return text;
}

static void it_is_nested_sixteen_deep_at_most(void **state)
{
    (void)state;
    assert_good(nested(16));
    assert_fault(nested(17), 1, 17, "this is nested more than 16 deep");
}

static void it_has_twenty_thousand_parts_at_most(void **state)
{
    (void)state;
    /* begin and end of the stream, the document and the list take six */
    assert_good(repeat("[", "a,", 20000 - 6 - 1, "a]\n"));
    assert_fault(repeat("[", "a,", 20000 - 6, "a]\n"), 2, 1,
                 "the file has too many parts; use patterns such as A1..A12");
}

static void texts_and_keys_have_their_longest(void **state)
{
    (void)state;
    assert_good(repeat("a: ", "n", 4096, "\n"));
    assert_fault(repeat("a: ", "n", 4097, "\n"), 1, 4,
                 "this text has 4097 bytes; at most 4096 are read");
    assert_good(repeat("", "k", 128, ": 1\n"));
    assert_fault(repeat("{", "k", 129, ": 1}\n"), 1, 2, "a key is one line of at most 128 bytes");
}

static void it_has_a_quarter_of_a_mebibyte_at_most(void **state)
{
    (void)state;
    assert_good(repeat("a: 1\n#", "x", 262144 - 6, ""));
    assert_fault(repeat("a: 1\n#", "x", 262145 - 6, ""), 1, 1,
                 "the file has 262145 bytes; at most 262144 are read");
}

static void what_would_expand_or_hide_is_refused(void **state)
{
    static const struct {
        const char *text;
        unsigned line, column;
        const char *said;
    } cases[] = {
        {"a: &n 1\n",         1, 4, "anchors (&name) are not read here; write it out"        },
        {"a: &n [1]\n",       1, 4, "anchors (&name) are not read here; write it out"        },
        {"a: &n {b: 1}\n",    1, 4, "anchors (&name) are not read here; write it out"        },
        {"&n a: 1\n",         1, 1, "anchors (&name) are not read here; write it out"        },
        {"a: !t 1\n",         1, 4, "tags (!name) are not read here; write it out"           },
        {"a: !t [1]\n",       1, 4, "tags (!name) are not read here; write it out"           },
        {"a: !t {b: 1}\n",    1, 4, "tags (!name) are not read here; write it out"           },
        {"a: *n\n",           1, 4, "aliases (*name) are not read here; write it out"        },
        {"a:\n  <<: b\n",     2, 3, "merge keys (<<) are not read here; write it out"        },
        {"? [a]\n: 1\n",      1, 3, "a key has to be a plain word"                           },
        {"a: 1\n---\nb: 2\n", 2, 1, "a second document begins here; one file is one document"},
        {"# nothing\n",       1, 1, "the file is empty"                                      },
        {"",                  1, 1, "the file is empty"                                      },
        {"a: \"x\\e[1m\"\n",  1, 4,
         "this text has a line break or a control character in it; write it on one line"     },
        {"a: |\n  x\n  y\n",  1, 4,
         "this text has a line break or a control character in it; write it on one line"     },
        {"\"x\\e\": 1\n",     1, 1, "a key is one line of at most 128 bytes"                 },
        {"a: [1, 2\n",        2, 1, "this is not YAML: did not find expected ',' or ']'"     },
        {"a:\n\tb: 1\n",      2, 1, "a tab cannot indent; use spaces"                        },
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        assert_fault(mem_strdup(cases[i].text), cases[i].line, cases[i].column, cases[i].said);
    }
}

static void a_key_that_stands_twice_is_one_fault_and_the_first_holds(void **state)
{
    struct room_faults faults = {0};
    struct faulty f = {"x", &faults};
    const char *text = "a: 1\nb: 2\na: {c: 3}\n";
    struct node tree;

    (void)state;
    assert_true(yaml_tree_read(&f, text, strlen(text), &tree));
    assert_int_equal(faults.n, 1);
    assert_string_equal(faults.fault[0].msg, "'a' stands here twice; first in line 1");
    assert_int_equal(faults.fault[0].line, 3);
    assert_int_equal(tree.n, 2);
    assert_string_equal(node_get(&tree, "a")->text, "1");
    yaml_tree_free(&tree);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_node_knows_its_place_and_that_of_its_key),
        cmocka_unit_test(what_is_not_there_is_null),
        cmocka_unit_test(kinds_have_words_for_messages),
        cmocka_unit_test(it_is_nested_sixteen_deep_at_most),
        cmocka_unit_test(it_has_twenty_thousand_parts_at_most),
        cmocka_unit_test(texts_and_keys_have_their_longest),
        cmocka_unit_test(it_has_a_quarter_of_a_mebibyte_at_most),
        cmocka_unit_test(what_would_expand_or_hide_is_refused),
        cmocka_unit_test(a_key_that_stands_twice_is_one_fault_and_the_first_holds),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
