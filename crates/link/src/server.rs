//! Requests to the exchange and back.

use std::future::{Future, Ready, ready};
use std::sync::Arc;

use tokio::net::TcpListener;
use tokio_modbus::server::Service;
use tokio_modbus::server::tcp::{Server, accept_tcp_connection};
use tokio_modbus::{ExceptionCode, Request, Response};

use crate::exchange::{Exchange, Refused};

/// Answers on a listener until `stopped`.
///
/// # Errors
/// What the system says when no connection can be accepted.
pub async fn serve(
    listener: TcpListener,
    exchange: Arc<Exchange>,
    stopped: impl Future<Output = ()> + Send + Sync + 'static,
) -> std::io::Result<()> {
    let connected = |stream, from| {
        let service = Answers(Arc::clone(&exchange));
        ready(accept_tcp_connection(stream, from, move |_| {
            Ok(Some(service.clone()))
        }))
    };
    // A connection that breaks off concerns its peer alone.
    Server::new(listener)
        .serve_until(&connected, |_| {}, stopped)
        .await
        .map(|_| ())
}

#[derive(Clone)]
struct Answers(Arc<Exchange>);

impl Service for Answers {
    type Request = Request<'static>;
    type Response = Response;
    type Exception = ExceptionCode;
    type Future = Ready<Result<Response, ExceptionCode>>;

    fn call(&self, request: Request<'static>) -> Self::Future {
        ready(answered(&self.0, request))
    }
}

fn answered(exchange: &Exchange, request: Request<'_>) -> Result<Response, ExceptionCode> {
    let answer = match request {
        Request::ReadInputRegisters(from, count) => exchange
            .input_registers(from, count)
            .map(Response::ReadInputRegisters),
        Request::ReadHoldingRegisters(from, count) => exchange
            .holding_registers(from, count)
            .map(Response::ReadHoldingRegisters),
        Request::ReadDiscreteInputs(from, count) => exchange
            .discrete_inputs(from, count)
            .map(Response::ReadDiscreteInputs),
        Request::ReadCoils(from, count) => exchange.coils(from, count).map(Response::ReadCoils),
        Request::WriteSingleCoil(at, set) => exchange
            .write_coils(at, &[set])
            .map(|()| Response::WriteSingleCoil(at, set)),
        Request::WriteMultipleCoils(from, values) => exchange
            .write_coils(from, &values)
            .map(|()| Response::WriteMultipleCoils(from, values.len() as u16)),
        Request::WriteMultipleRegisters(from, words) => exchange
            .write_registers(from, &words)
            .map(|()| Response::WriteMultipleRegisters(from, words.len() as u16)),
        // A number is two registers: one of them alone is half a number.
        Request::WriteSingleRegister(..) => Err(Refused::Address),
        _ => return Err(ExceptionCode::IllegalFunction),
    };
    answer.map_err(|refused| match refused {
        Refused::Address => ExceptionCode::IllegalDataAddress,
        Refused::Value => ExceptionCode::IllegalDataValue,
    })
}
