namespace KitMesh.Footage.Ledger;

/// <summary>One clip in a snapshot, judged and packed.</summary>
internal struct ClipEntry
{
    public ClipFacts Facts;
    public long LengthTicks;
    public int Day;
    public int Source;
    public int DayTeam;
    public int AllDrives;

    /// <summary>
    /// Drives with a copy that was read back well at some time and not found bad since; an intermediate drive only while
    /// the rule is not met, since it may be cleared tonight.
    /// </summary>
    public int SureDrives;

    /// <summary>Other drives with a copy that was only written.</summary>
    public int MadeDrives;

    /// <summary>Copies that the rule still asks for.</summary>
    public ushort CopiesMissing;

    /// <summary>Intermediate drives that hold a copy which is not lost.</summary>
    public int OnIntermediates;

    public int Cards;

    /// <summary>Proof that counts under the rule: copies on intermediate drives are left out.</summary>
    public ProofCount Proof;

    public bool MeetsRule;

    /// <summary>As <see cref="MeetsRule"/>, counting proofs that are only too old: what is overdue is not lost.</summary>
    public bool MeetsRuleButForAge;
}
