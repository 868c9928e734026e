fn main() {
    let engine = stead::ask::Engine::shipped().unwrap();
    let set = stead::ask::score::shipped().unwrap();
    let r = stead::ask::score::answer(&engine, &set).unwrap();
    for q in &r.questions {
        let j = set.questions.iter().find(|x| x.id == q.id).unwrap();
        println!("{} {} | {} | {} | {:.3} {} {:?}", q.id, j.lift, j.said, j.gym, q.ndcg5, q.success1, q.violations);
        println!(
            "   got  {}",
            q.answers
                .iter()
                .map(|a| format!("{}={:.1}{}", a.id, a.grade, if a.violation { "!" } else { "" }))
                .collect::<Vec<_>>()
                .join(" ")
        );
        println!(
            "   best {}",
            q.best.iter().take(8).map(|a| format!("{}={:.1}", a.id, a.grade)).collect::<Vec<_>>().join(" ")
        );
    }
    println!("ndcg {:.4} s1 {:.4} v {}", r.ndcg5, r.success1, r.violations);
}
