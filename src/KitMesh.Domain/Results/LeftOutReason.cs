namespace KitMesh.Domain.Results;

/// <summary>Why a device is not charged tonight, or not fully.</summary>
public enum LeftOutReason
{
    /// <summary>It is full or fed without a battery of its own.</summary>
    NotNeeded = 0,

    /// <summary>The energy that may be spent went to devices that matter more.</summary>
    EnergyShort = 1,

    /// <summary>No outlet is free long enough before the deadline.</summary>
    OutletsBusy = 2,

    /// <summary>Its battery is too cold and does not get warm before the deadline.</summary>
    TooCold = 3,

    /// <summary>Nothing is known of its battery's temperature: warm it, measure, then charge.</summary>
    NoTemperature = 4,

    /// <summary>No outlet of its bank is declared.</summary>
    NoOutlet = 5,

    /// <summary>It charges in part, as far as time, outlets and energy allow.</summary>
    Partly = 6,

    /// <summary>Its battery is too warm to charge.</summary>
    TooHot = 7,
}
