# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
# The manual page, shell completion and pkg-config file; and what `cpack` makes: two Debian packages (the program;
# the library for developers) and a tarball that runs from wherever it is unpacked.
set(manual ${PROJECT_BINARY_DIR}/manual)
add_custom_command(OUTPUT ${manual}/fairhole.1 ${manual}/fairhole
  COMMAND ${CMAKE_COMMAND} -E make_directory ${manual}
  COMMAND fairhole_program manual > ${manual}/fairhole.1
  COMMAND fairhole_program manual --completion > ${manual}/fairhole
  DEPENDS fairhole_program VERBATIM)
add_custom_target(fairhole_manual ALL DEPENDS ${manual}/fairhole.1)
install(FILES ${manual}/fairhole.1 DESTINATION ${CMAKE_INSTALL_MANDIR}/man1 COMPONENT program)
install(FILES ${manual}/fairhole DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions COMPONENT program)
install(FILES ${PROJECT_SOURCE_DIR}/README.md ${PROJECT_SOURCE_DIR}/CHANGELOG.md ${PROJECT_SOURCE_DIR}/LICENSE
        DESTINATION ${CMAKE_INSTALL_DOCDIR} COMPONENT program)

# Static libraries, the upper ones first.
set(FAIRHOLE_PC_LIBS "")
foreach(module ${modules})
  if(module STREQUAL cli)
    continue()
  endif()
  get_target_property(type fairhole_${module} TYPE)
  if(type STREQUAL STATIC_LIBRARY)
    string(PREPEND FAIRHOLE_PC_LIBS "-lfairhole_${module} ")
  endif()
endforeach()
file(RELATIVE_PATH FAIRHOLE_PC_UP /prefix/${CMAKE_INSTALL_LIBDIR}/pkgconfig /prefix)
configure_file(${PROJECT_SOURCE_DIR}/tools/cmake/fairhole.pc.in ${PROJECT_BINARY_DIR}/fairhole.pc @ONLY)
install(FILES ${PROJECT_BINARY_DIR}/fairhole.pc DESTINATION ${CMAKE_INSTALL_LIBDIR}/pkgconfig COMPONENT development)

set(CPACK_GENERATOR "DEB;TGZ")
set(CPACK_PACKAGE_NAME fairhole)
set(CPACK_PACKAGE_VENDOR "The Fairhole developers")
set(CPACK_PACKAGE_CONTACT "The Fairhole developers <fairhole@localhost>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "Seats old riveted parts on new plate and lays out the holes")
set(CPACK_STRIP_FILES ON)
set(CPACK_COMPONENTS_ALL program development)
set(CPACK_COMPONENTS_GROUPING IGNORE)
set(CPACK_ARCHIVE_COMPONENT_INSTALL ON)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME fairhole)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)  # dpkg-shlibdeps reads the libraries off the program
set(CPACK_DEBIAN_PROGRAM_PACKAGE_DEPENDS fonts-dejavu-core)  # the letters of sheets and drawings
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_NAME fairhole-dev)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_DEPENDS
    "libeigen3-dev, libfmt-dev, nlohmann-json3-dev, libboost-dev, libopencv-dev, libopencv-contrib-dev, libceres-dev, libjpeg-dev, libheif-dev, libexif-dev, libcairo2-dev, libqpdf-dev, libssl-dev, libcpp-httplib-dev")
include(CPack)
