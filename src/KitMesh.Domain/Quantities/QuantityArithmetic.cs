using System.Globalization;

namespace KitMesh.Domain.Quantities;

/// <summary>Addition, scaling and comparison for every <see cref="IQuantity{TSelf}"/>, written once.</summary>
public static class QuantityArithmetic
{
    /// <summary>Members of every quantity.</summary>
    /// <param name="quantity">The quantity itself.</param>
    extension<T>(T quantity)
        where T : struct, IQuantity<T>
    {
        /// <summary>No amount at all.</summary>
        public static T Zero => T.Of(0);

        /// <summary>Whether the number is neither NaN nor infinite.</summary>
        public bool IsFinite => double.IsFinite(quantity.Value);

        /// <summary>The number to four significant decimals with its unit, the same in every locale.</summary>
        public string Text => string.Create(CultureInfo.InvariantCulture, $"{quantity.Value:0.####} {T.Unit}");

        /// <summary>Sum.</summary>
        public static T operator +(T left, T right) => T.Of(left.Value + right.Value);

        /// <summary>Difference.</summary>
        public static T operator -(T left, T right) => T.Of(left.Value - right.Value);

        /// <summary>The opposite amount.</summary>
        public static T operator -(T operand) => T.Of(-operand.Value);

        /// <summary>The amount scaled by a plain factor.</summary>
        public static T operator *(T left, double factor) => T.Of(left.Value * factor);

        /// <summary>The amount divided by a plain number.</summary>
        public static T operator /(T left, double divisor) => T.Of(left.Value / divisor);

        /// <summary>How many times one amount holds another.</summary>
        public static double operator /(T left, T right) => left.Value / right.Value;

        /// <summary>Less than.</summary>
        public static bool operator <(T left, T right) => left.Value < right.Value;

        /// <summary>More than.</summary>
        public static bool operator >(T left, T right) => left.Value > right.Value;

        /// <summary>At most.</summary>
        public static bool operator <=(T left, T right) => left.Value <= right.Value;

        /// <summary>At least.</summary>
        public static bool operator >=(T left, T right) => left.Value >= right.Value;
    }
}
