//! The still against textbooks, independent programs, laws and common practice.

mod column_cases;
mod contacts;
mod jacobian;
mod law;
mod practice;
mod running;
mod textbook;
mod track;
