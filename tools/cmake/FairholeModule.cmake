# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
#
# fairhole_module(NAME HEADERS ... SOURCES ... TESTS ... BENCH ... DEPENDS ... PRIVATE_DEPENDS ... TEST_DEPENDS ... BENCH_DEPENDS ...)
# One module: its library fairhole::NAME with the public headers of include/fairhole/NAME, its tests (one
# program, labelled with the module's name; suites named *Statistics also carry the label "statistics") and
# its benchmarks. HEADERS are relative to include/fairhole/NAME, everything else to src/NAME.

set(FAIRHOLE_COMPILE_OPTIONS -Wall -Wextra -Wconversion -Wshadow)
if(CMAKE_CXX_COMPILER_ID STREQUAL GNU)
  # g++ 12 sees overlaps in "text" + std::string that are not there (GCC bug 105651).
  list(APPEND FAIRHOLE_COMPILE_OPTIONS -Wno-restrict -ffp-contract=off)
else()
  # clang++ counts a double made from a size, and a member left to its default in {.a = 1}, as doubtful.
  list(APPEND FAIRHOLE_COMPILE_OPTIONS -ffp-contract=off -Wno-implicit-int-float-conversion -Wno-sign-conversion
       -Wno-missing-field-initializers)
endif()
if(FAIRHOLE_WERROR)
  list(APPEND FAIRHOLE_COMPILE_OPTIONS -Werror)
endif()
if(FAIRHOLE_SANITIZE)
  # -O1: Eigen under the sanitizers at -O0 is twenty times slower. -g1: line numbers are all a report needs. Without
  # null and object-size (the address sanitizer sees those), vptr and alignment: each makes the build longer.
  list(APPEND FAIRHOLE_COMPILE_OPTIONS -O1 -g1 -fno-omit-frame-pointer
       -fsanitize=address,undefined -fno-sanitize=null,object-size,vptr,alignment -fno-sanitize-recover=all)
  if(CMAKE_CXX_COMPILER_ID STREQUAL GNU)
    list(APPEND FAIRHOLE_COMPILE_OPTIONS -Wno-maybe-uninitialized)  # seen in the sanitizers' own checks
  endif()
  add_link_options(-fsanitize=address,undefined)
endif()
if(FAIRHOLE_COVERAGE)
  # What is shipped counts the lines it runs through; test programs stay as they are. -O1: few functions lose themselves in others.
  set(FAIRHOLE_COUNT_OPTIONS -O1 --coverage -fprofile-update=prefer-atomic)
  add_link_options(--coverage)
endif()
if(FAIRHOLE_FUZZ)
  # The libraries tell libFuzzer where they have been; the fuzzers themselves bring its main().
  list(APPEND FAIRHOLE_COMPILE_OPTIONS -O1 -g1 -fno-omit-frame-pointer -fsanitize=fuzzer-no-link,address,undefined
       -fno-sanitize-recover=all)
  add_link_options(-fsanitize=address,undefined)
endif()
# tools/mutate builds a copy of the tree; its tests read the fixtures of this one, and so are compiled once for both.
set(FAIRHOLE_TESTS_READ ${PROJECT_SOURCE_DIR} CACHE PATH "The tree whose fixtures the tests read")
set(CMAKE_CXX_STANDARD 20)
set(CMAKE_CXX_STANDARD_REQUIRED ON)
set(CMAKE_CXX_EXTENSIONS OFF)
set(CMAKE_EXPORT_COMPILE_COMMANDS ON)

# What is tested stands in the libraries: the tests themselves are compiled quickly, not fast, and undefined behaviour
# is looked for in the libraries alone. The address sanitizer has to be in both: Eigen allocates otherwise under it.
set(FAIRHOLE_TEST_OPTIONS -Og)
if(FAIRHOLE_SANITIZE)
  list(APPEND FAIRHOLE_TEST_OPTIONS -fno-sanitize=undefined)
endif()

# What nearly every test includes, parsed once for all test programs.
if(FAIRHOLE_TESTS)
  file(WRITE ${CMAKE_BINARY_DIR}/test_headers.cc "")
  add_library(fairhole_test_headers OBJECT ${CMAKE_BINARY_DIR}/test_headers.cc)
  target_compile_options(fairhole_test_headers PRIVATE ${FAIRHOLE_COMPILE_OPTIONS} ${FAIRHOLE_TEST_OPTIONS})
  target_link_libraries(fairhole_test_headers PRIVATE GTest::gmock GTest::gtest fmt::fmt Eigen3::Eigen)
  target_precompile_headers(fairhole_test_headers PRIVATE <gmock/gmock.h> <gtest/gtest.h> <fmt/format.h>
                            <Eigen/Core> <algorithm> <filesystem> <fstream> <random> <string> <vector>)
endif()

function(fairhole_test_program target)
  target_link_libraries(${target} PRIVATE GTest::gmock GTest::gtest_main fmt::fmt)
  target_compile_options(${target} PRIVATE ${FAIRHOLE_COMPILE_OPTIONS} ${FAIRHOLE_TEST_OPTIONS})
  if(CMAKE_CXX_COMPILER_ID STREQUAL GNU)  # the same bug as above, which shows with precompiled headers
    target_compile_options(${target} PRIVATE -Wno-stringop-overflow -Wno-array-bounds)
  endif()
  target_include_directories(${target} PRIVATE ${PROJECT_SOURCE_DIR}/tests)
  target_compile_definitions(${target} PRIVATE FAIRHOLE_SOURCE_DIR="${FAIRHOLE_TESTS_READ}")
  target_precompile_headers(${target} REUSE_FROM fairhole_test_headers)
  # Test files may use the same short names for their helpers.
  set_target_properties(${target} PROPERTIES UNITY_BUILD OFF)
endfunction()

function(fairhole_module name)
  cmake_parse_arguments(M "" "" "HEADERS;SOURCES;TESTS;BENCH;DEPENDS;PRIVATE_DEPENDS;TEST_DEPENDS;BENCH_DEPENDS" ${ARGN})
  set(target fairhole_${name})
  list(TRANSFORM M_HEADERS PREPEND ${PROJECT_SOURCE_DIR}/include/fairhole/${name}/)
  if(M_SOURCES)
    add_library(${target} STATIC ${M_SOURCES})
    set(scope PUBLIC)
    target_compile_options(${target} PRIVATE ${FAIRHOLE_COMPILE_OPTIONS} ${FAIRHOLE_COUNT_OPTIONS})
    target_link_libraries(${target} PRIVATE fmt::fmt ${M_PRIVATE_DEPENDS})
  else()
    add_library(${target} INTERFACE)
    set(scope INTERFACE)
  endif()
  add_library(fairhole::${name} ALIAS ${target})
  set_target_properties(${target} PROPERTIES EXPORT_NAME ${name})
  target_sources(${target} ${scope} FILE_SET HEADERS BASE_DIRS ${PROJECT_SOURCE_DIR}/include FILES ${M_HEADERS})
  target_compile_features(${target} ${scope} cxx_std_20)
  target_link_libraries(${target} ${scope} ${M_DEPENDS})
  install(TARGETS ${target} EXPORT fairholeTargets COMPONENT development FILE_SET HEADERS COMPONENT development)

  if(FAIRHOLE_COVERAGE)
    list(FILTER M_TESTS EXCLUDE REGEX "_statistics_test")  # they are not run there, and long to build
  endif()
  if(FAIRHOLE_TESTS AND M_TESTS)
    add_executable(${target}_test ${M_TESTS})
    target_link_libraries(${target}_test PRIVATE ${target} ${M_PRIVATE_DEPENDS} ${M_TEST_DEPENDS})
    fairhole_test_program(${target}_test)
    gtest_discover_tests(${target}_test TEST_PREFIX ${name}. TEST_FILTER "-*Statistics*"
                         PROPERTIES LABELS ${name} DISCOVERY_TIMEOUT 60)
    gtest_discover_tests(${target}_test TEST_PREFIX ${name}. TEST_FILTER "*Statistics*" TEST_LIST ${target}_statistics
                         DISCOVERY_TIMEOUT 60)
    # gtest_discover_tests flattens its properties and would keep the first of two labels only.
    set(labels ${CMAKE_CURRENT_BINARY_DIR}/${target}_labels.cmake)
    file(WRITE ${labels} "if(${target}_statistics)
  set_tests_properties(\${${target}_statistics} PROPERTIES LABELS \"${name};statistics\")
endif()
")
    set_property(DIRECTORY APPEND PROPERTY TEST_INCLUDE_FILES ${labels})
  endif()
  if(FAIRHOLE_BENCH AND M_BENCH)
    add_executable(${target}_bench ${M_BENCH})
    target_link_libraries(${target}_bench PRIVATE ${target} ${M_PRIVATE_DEPENDS} ${M_BENCH_DEPENDS} benchmark::benchmark_main)
    target_compile_definitions(${target}_bench PRIVATE FAIRHOLE_SOURCE_DIR="${FAIRHOLE_TESTS_READ}")
  endif()
endfunction()
