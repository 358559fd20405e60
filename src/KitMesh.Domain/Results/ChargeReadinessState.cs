namespace KitMesh.Domain.Results;

/// <summary>Whether a bank or battery may take charge now.</summary>
public enum ChargeReadinessState
{
    /// <summary>No believable temperature: never "charge now", only a warm-up plan.</summary>
    NoTemperature = 0,

    /// <summary>The coldest probe is under the limit: warm first.</summary>
    WarmFirst = 1,

    /// <summary>It may charge, with less than its full current because the cells are cool.</summary>
    SlowOnly = 2,

    /// <summary>It may charge with the full current of its chemistry.</summary>
    Ready = 3,

    /// <summary>The warmest probe is over the limit: wait.</summary>
    TooHot = 4,
}
