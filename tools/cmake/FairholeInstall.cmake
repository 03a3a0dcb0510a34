# SPDX-FileCopyrightText: 2026 The Fairhole developers
# SPDX-License-Identifier: Apache-2.0
include(GNUInstallDirs)
include(CMakePackageConfigHelpers)
set(package_dir ${CMAKE_INSTALL_LIBDIR}/cmake/fairhole)
install(EXPORT fairholeTargets NAMESPACE fairhole:: DESTINATION ${package_dir} COMPONENT development)
configure_package_config_file(${PROJECT_SOURCE_DIR}/tools/cmake/fairholeConfig.cmake.in
                              ${PROJECT_BINARY_DIR}/fairholeConfig.cmake INSTALL_DESTINATION ${package_dir})
write_basic_package_version_file(${PROJECT_BINARY_DIR}/fairholeConfigVersion.cmake
                                 COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/fairholeConfig.cmake ${PROJECT_BINARY_DIR}/fairholeConfigVersion.cmake
        DESTINATION ${package_dir} COMPONENT development)
