namespace KitMesh.Outlook.Advice;

/// <summary>From where on something is worth saying: judgement, no published source.</summary>
internal static class AdviceLimits
{
    /// <summary>Chance of running short of energy by the last day.</summary>
    public const double EnergyShort = 0.05;

    /// <summary>Chance that the drives do not last to the last day.</summary>
    public const double RoomShort = 0.1;

    /// <summary>Chance of losing anything at all by the last day.</summary>
    public const double Loss = 0.002;

    /// <summary>A move is named when it lowers the chance to this share or less.</summary>
    public const double MoveGain = 0.7;
}
