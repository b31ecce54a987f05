"""Attacks on the publication boundary: each tries something, and says what may come out of it.

Most are twins: two databases that differ in one private fact give the same public bytes. Where an
attack can succeed by chance its rate is measured, and where it is a program there is a test in
which the same program wins, so that it proves something when it loses.

The list of known attacks, and the test that mounts each (module::beginning of its name):

 1 place::test_halving_boxes, place::test_overlapping_boxes -- a box shrunk round a true point
 2 questions::test_private_name, questions::test_refusal -- filter or look-up by private columns
 3 place::test_nobody_answers_a_question_of_distance -- what is nearest to a point
 4 headers_and_cursors::test_order_of_arrival -- order of insertion as the default order
 5 headers_and_cursors::test_tokens, headers_and_cursors::test_token_with -- inside of a cursor
 6 headers_and_cursors::test_private_edit, headers_and_cursors::test_last_modified -- ETag and date
 7 headers_and_cursors::test_feed -- order and times of the feed of changes
 8 differencing::test_one_addition, differencing::test_attacker -- a release less another
 9 differencing::test_shown_cell_less_finer -- what is left of a cell around finer ones
10 aggregates::test_summary -- an aggregate over one
11 aggregates::test_private_units, aggregates::test_two_gardens -- private units, differences
12 place::test_uncertainty -- the error of one's own device
13 rare_combinations::test_code_of_one_household -- a rare habitat or management
14 rare_combinations::test_place_of_another_class, rare_combinations::test_school -- one school
15 canaries::test_nothing_hidden_in_a_picture -- metadata of photos
16 canaries::test_no_word, canaries::test_no_exact_place -- free text of every kind
17 leaving::test_hidden_id -- an error that tells what exists
18 probing::test_rehearsing, probing::test_storing -- a check that knows another group's site
19 other_groups::test_mixed_batch, other_groups::test_other_groups -- another group's records
20 other_groups::test_field_that_is_ours -- a public place, a state or a group in what is sent
21 other_groups::test_key -- another group's idempotency key or number of a batch
22 catalogue_and_metadata::test_examples -- real data in examples
23 none: there is no admin and no desk that exports; a person's own download stands behind a link,
   tests/portal/personal
24 none: backups are the installation's own; no command of ours writes one
25 leaving::test_old_address, leaving::test_no_withdrawn_id -- a download kept after a withdrawal
26 leaving::test_tombstone -- what a withdrawn id tells
27 questions::test_nobody_can_be_searched -- a search for a person
28 ids_and_times::test_ids -- ids in a row, or with a time in them
29 ids_and_times::test_no_instant, ids_and_times::test_entries -- the hour of anything
30 place::test_marks_of_the_ground -- elevation, slope, weather, soil maps
31 place::test_features -- features as fine as they come; there are no tiles and no clusters
32 catalogue_and_metadata::test_terms -- the archive's terms for the recorder's own words
33 catalogue_and_metadata::test_box, leaving::test_place_that_left -- boxes of descriptions
34 ids_and_times::test_sensitive_find -- a sensitive find in a visit shown finely
35 ids_and_times::test_two_plots -- a pseudonym over cells
36 catalogue_and_metadata::test_name, leaving::test_credits -- a group's name that names a village
37 leaving::test_stricter -- a stricter wish, a corrected place
38 other_groups::test_answer_of_a_closed_address -- a cache between two callers

Beyond the list: everything at once (private_facts), an attacker who knows every site, keeps every
release and follows ids (differencing), repeat visits averaged (place), positions shared (probing),
checksums that outlive a row (leaving), sizes and limits (headers_and_cursors).
"""
