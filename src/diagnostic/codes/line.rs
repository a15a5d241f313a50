super::codes! {

}
