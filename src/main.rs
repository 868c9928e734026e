fn main() {
    let files = stead::kb::files::Files::read(std::path::Path::new("kb")).unwrap();
    let t = std::time::Instant::now();
    let (_, problems) = stead::kb::examine(&[files.clone()]);
    for p in &problems { println!("{p}"); }
    println!("{} problems {:?}", problems.len(), t.elapsed());
    if let Ok(kb) = stead::kb::Kb::build(&[files]) { println!("{} {} names {}", kb.len(), kb.stamp, kb.names.len()); let b = kb.to_bytes().unwrap(); println!("bytes {}", b.len()); let t = std::time::Instant::now(); let k2=stead::kb::Kb::from_bytes(&b).unwrap(); println!("{:?} {}", t.elapsed(), k2.exercise(5).unwrap().id); }
}
