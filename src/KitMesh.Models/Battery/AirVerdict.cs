namespace KitMesh.Models.Battery;

/// <summary>What the passenger rules say of batteries of one size.</summary>
public enum AirVerdict
{
    /// <summary>Allowed within the stated conditions.</summary>
    Allowed = 0,

    /// <summary>Only with the operator's approval, asked before the trip.</summary>
    AskOperator = 1,

    /// <summary>Not in passengers' baggage; cargo as dangerous goods, through somebody licensed.</summary>
    NotAllowed = 2,
}
