using System;
using System.Data;
using System.Threading;
using Dapper;
using NodaTime;
using NodaTime.Text;
using RefillPlanner.Core.Ledger;

namespace RefillPlanner.Store;

/// <summary>How the values of the core stand in columns: dates and instants as text of one width, volumes and amounts as integers.</summary>
internal static class TypeHandlers
{
    private static readonly Lazy<bool> Registered = new(
        () =>
        {
            SqlMapper.AddTypeHandler(new LocalDateHandler());
            SqlMapper.AddTypeHandler(new InstantHandler());
            SqlMapper.AddTypeHandler(new VolumeHandler());
            SqlMapper.AddTypeHandler(new AmountHandler());
            return true;
        },
        LazyThreadSafetyMode.ExecutionAndPublication);

    /// <summary>Registers them with Dapper, once for the process.</summary>
    public static void Register() => _ = Registered.Value;

    private sealed class LocalDateHandler : SqlMapper.TypeHandler<LocalDate>
    {
        public override LocalDate Parse(object value) => LocalDatePattern.Iso.Parse((string)value).GetValueOrThrow();

        public override void SetValue(IDbDataParameter parameter, LocalDate value) => parameter.Value = LocalDatePattern.Iso.Format(value);
    }

    private sealed class InstantHandler : SqlMapper.TypeHandler<Instant>
    {
        public override Instant Parse(object value) => Columns.Moment.Parse((string)value).GetValueOrThrow();

        public override void SetValue(IDbDataParameter parameter, Instant value) => parameter.Value = Columns.Moment.Format(value);
    }

    private sealed class VolumeHandler : SqlMapper.TypeHandler<Volume>
    {
        public override Volume Parse(object value) => new((long)value);

        public override void SetValue(IDbDataParameter parameter, Volume value) => parameter.Value = value.Nanolitres;
    }

    private sealed class AmountHandler : SqlMapper.TypeHandler<Amount>
    {
        public override Amount Parse(object value) => new((long)value);

        public override void SetValue(IDbDataParameter parameter, Amount value) => parameter.Value = value.Billionths;
    }
}
