namespace KitMesh.Domain.Kit;

/// <summary>Cell chemistries with models of their own.</summary>
public enum Chemistry
{
    /// <summary>Not told; treated with the strictest limits and wide uncertainty.</summary>
    Unknown = 0,

    /// <summary>Lithium nickel manganese cobalt oxide.</summary>
    Nmc = 1,

    /// <summary>Lithium cobalt oxide, also in pouches sold as lithium polymer.</summary>
    Lco = 2,

    /// <summary>Lithium iron phosphate.</summary>
    Lfp = 3,

    /// <summary>Nickel metal hydride.</summary>
    NiMh = 4,

    /// <summary>Lead-acid of any make.</summary>
    LeadAcid = 5,
}
