"""Whether what is given away keeps to open standards, seen from outside.

Which test answers which check of the list that the project set itself:

====  ===================================  ==================================================
no.   what                                 where
====  ===================================  ==================================================
1     layout of the zip                    test_zip
2     schema of meta.xml, two engines      test_descriptor: ..._is_valid_by_the_schema
3     map of fields                        test_descriptor, text_guide; test_encoding: fields
4     encoding                             test_encoding
5     generic reader                       test_outside_reader
6     ids of the core                      test_ids: ids_are_unique_in_any_case
7     ids of occurrences                   test_ids; test_flat_form: same_occurrences
8     orphans                              test_ids; test_outside_reader: no_orphan
9     controlled words                     test_occurrences, test_humboldt, test_measurements
10    absences                             test_occurrences: absence..., absences..., zero...
11    quantities with their type or unit   test_events, test_occurrences, test_humboldt,
                                           test_measurements
12    dates                                test_events: dates_...
13    coordinates, uncertainty by pyproj   test_events: coordinates_..., uncertainty_...
14    outlines, by shapely                 test_events: outline_...
15    columns that must not be there       test_events: no_table_has_a_column..., planted_...
16    notices                              test_events: notices_...
17    recorders                            test_occurrences: column_has_exactly_..., which
                                           holds the one name for all, since nobody is named
18    one licence                          test_eml, test_data_package, test_licence_agreement
19    EML, two engines, figures again      test_eml
20    survey scope                         test_humboldt
21    names                                test_occurrences: names_..., no_name_is_left_open...
22    both forms of archive                test_flat_form
23    reproducible                         test_reproducible
24    tombstones                           test_tombstones; headers of OAI: test_oai
25    releases stand                       test_immutability; built again: test_release_stands
26    DCAT                                 test_catalogue
27    schema.org                           test_schema_org
28    OAI-PMH                              test_oai
29    data package                         test_data_package
30    both profiles                        test_profiles
31    no row, one row, 200 000 rows        test_small_datasets, test_large_releases
32    GeoJSON, OGC API                     tests/api/open
====  ===================================  ==================================================
"""
